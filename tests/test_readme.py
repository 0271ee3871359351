"""The README does what it says: its commands in a fresh clone, its four steps from green to red and back."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
from pathlib import Path

import pytest
from ruamel.yaml import YAML
from thorough import in_ci_only

from buildcheck.cli.main import main

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text()


def command_under(heading: str) -> str:
    """The one line of the fenced block below a heading."""
    match = re.search(rf"^## {heading}\n\n```sh\n([^\n]+)\n```$", README, re.MULTILINE)
    assert match is not None
    return match[1]


def test_it_opens_with_the_job() -> None:
    assert README.startswith(
        "# buildcheck\n\nbuildcheck checks the top end of a pushrod engine before parts are ordered"
    )


def test_the_test_command_sets_up_and_runs_pytest() -> None:
    assert command_under("Test it").endswith("pip install -q -e '.[test]' && .venv/bin/pytest")


def test_the_hooks_of_the_readme_exist() -> None:
    (text,) = re.findall(r"^```yaml\n(# \.pre-commit-config\.yaml.*?)^```$", README, re.MULTILINE | re.DOTALL)
    [repository] = YAML(typ="safe").load(text)["repos"]
    offered = {hook["id"] for hook in YAML(typ="safe").load((ROOT / ".pre-commit-hooks.yaml").read_text())}
    assert {hook["id"] for hook in repository["hooks"]} == offered - {"buildcheck-report-update"}
    assert "`buildcheck-report-update`" in README


def test_four_steps_from_green_to_red_and_back(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    shutil.copytree(ROOT / "example_build", tmp_path / "example_build")
    monkeypatch.chdir(tmp_path)
    green, red = re.findall(r"^ *(example_build/\S+: (?:note|error): .*)$", README, re.MULTILINE)
    assert main(["check", "example_build"]) == 0
    assert green in capsys.readouterr().out.splitlines()

    old, new = re.findall(r"`(mark: \{from: [^`]*)`", README)
    marks = tmp_path / "example_build" / "marks.yaml"
    assert marks.read_text().count(old) == 1
    marks.write_text(marks.read_text().replace(old, new))
    assert main(["check", "example_build"]) == 1
    result = capsys.readouterr().out
    below = re.findall(r"^ *((?:help|effect): .*)$", README, re.MULTILINE)
    assert [line.strip() for line in result.splitlines()[:3]] == [red, *below]
    (below_the_drawing,) = re.findall(r"^The bad mark stops the order: `(.*)`$", README, re.MULTILINE)
    assert below_the_drawing in red
    assert "[lines-inside-mark]" not in result

    lines = marks.read_text().splitlines(keepends=True)
    bad = next(number for number, line in enumerate(lines) if new in line)
    (trial,) = re.findall(r"^ *(- \{length: 9\.4255 in, .*\})$", README, re.MULTILINE)
    lines.insert(bad + 1, " " * (len(lines[bad]) - len(lines[bad].lstrip())) + trial + "\n")
    marks.write_text("".join(lines))
    assert main(["check", "example_build"]) == 0


@in_ci_only
def test_the_run_command_in_a_fresh_clone_with_an_empty_home(tmp_path: Path) -> None:
    clone, home = tmp_path / "clone", tmp_path / "home"
    home.mkdir()
    subprocess.run(["git", "clone", "-q", str(ROOT), str(clone)], check=True)
    kept = {name: value for name, value in os.environ.items() if name in ("PATH", "LANG") or name.startswith("PIP_")}
    done = subprocess.run(
        ["sh", "-c", command_under("Run it")],
        cwd=clone,
        env={**kept, "HOME": str(home), "PIP_NO_COMPILE": "1"},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert "Ready to order: 12 pushrods + 1 spare of 9.450 in (gauge length)" in done.stdout
