"""docs/team.md: its files are written and its commands run, in order; the output is as it stands there."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

PAGE = (Path(__file__).parent.parent / "docs/team.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"^```(\w+)(?: (\S+))?\n(.*?)^```$", PAGE, re.MULTILINE | re.DOTALL)
NAMES = {f"GIT_{role}_{what}": "colleague" for role in ("AUTHOR", "COMMITTER") for what in ("NAME", "EMAIL")}


def _ran(script: str, folder: Path, home: Path) -> str:
    path = f"{Path(sys.executable).parent}{os.pathsep}{os.environ['PATH']}"
    settings = {"PATH": path, "PRE_COMMIT_HOME": str(home), "GIT_CONFIG_GLOBAL": os.devnull}
    done = subprocess.run(
        ["bash", "-e", "-o", "pipefail", "-c", script],
        cwd=folder, env={**os.environ, **NAMES, **settings}, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


@pytest.fixture(scope="module")
def outputs(tmp_path_factory: pytest.TempPathFactory) -> list[tuple[str, str]]:
    """Each text that the page shows, with what the command before it really printed."""
    top, quoted, printed = tmp_path_factory.mktemp("team"), [], ""
    for kind, name, text in BLOCKS:
        folder = top / "shop" if (top / "shop").exists() else top
        if kind == "sh":
            printed = _ran(text, folder, top / "home")
        elif kind == "yaml":
            (folder / name).write_text(text, encoding="utf-8")
        else:
            quoted.append((text, printed))
    return quoted


def test_the_page_has_files_commands_and_outputs() -> None:
    kinds = [kind for kind, _, _ in BLOCKS]
    assert {kind: kinds.count(kind) >= 3 for kind in kinds} == {"sh": True, "yaml": True, "text": True}
    assert [name for kind, name, _ in BLOCKS if (kind == "yaml") != bool(name)] == []


def test_every_command_runs_and_prints_what_the_page_shows(outputs: list[tuple[str, str]]) -> None:
    assert len(outputs) >= 4
    assert [line for text, printed in outputs for line in text.splitlines() if line not in printed] == []


def test_the_rule_of_the_page_is_under_ten_lines() -> None:
    (rule,) = [text for _, name, text in BLOCKS if name.startswith("shop-rules/")]
    assert len(rule.splitlines()) < 10
