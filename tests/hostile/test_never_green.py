"""Nothing ends green by accident: what was not judged is exit 2 and says so, what was not measured is not ready."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from itertools import combinations
from pathlib import Path

import pytest
from attacked import Call
from judged import BUILDS, ROOT, copied, judged

from buildcheck.repo.file_tree import FILES

BUILD = "name: Eider\nstage: {}\npurpose: to be broken\n"


def build(folder: Path, stage: str = "planning") -> Path:
    folder.mkdir(exist_ok=True, parents=True)
    (folder / "build.yaml").write_text(BUILD.format(stage))
    return folder


@pytest.mark.parametrize("words", [["nowhere"], ["eider", "nowhere"], ["eider/nowhere.yaml"], ["empty"]])
def test_a_path_with_nothing_to_judge(words: list[str], call: Call, tmp_path: Path) -> None:
    build(tmp_path / "eider")
    (tmp_path / "empty").mkdir()
    ended = call("check", *words)
    assert ended.code == 2
    assert ended.err


def test_a_repository_without_builds(call: Call) -> None:
    assert "no build at or under ." in call("check").err
    assert call("report").code == call("report", "--check").code == 2


@pytest.mark.parametrize("patterns", ["[engine/*]", "[engines]", "['']", "['**']"])
def test_settings_that_count_no_folder_as_a_build(patterns: str, call: Call, tmp_path: Path) -> None:
    build(tmp_path / "engines" / "eider")
    (tmp_path / "buildcheck.yaml").write_text(f"builds: {patterns}\n")
    assert call("check").code == (0 if "**" in patterns else 2)


SETTINGS = [
    "", "rules: [shop]\n", "rules: [nowhere]\n", "rules: [../outside]\n", "rules: [/etc]\n",
    "rules: [eider/build.yaml]\n",
    "rules: ['']\n", "rules: [~]\n", "rules: shop\n", "rule: [shop]\n",
    "limits: {no-such-rule: {at_most: 1 in, because: tried}}\n",
    "limits: {quench: {at_most: 1 in}}\n", "limits: {quench: {at_most: 1 lbf, because: tried}}\n",
    "limits: {quench: {because: tried}}\n",
    "limits: {coil-bind-clearance: {at_most: 1 in, because: tried}}\n",
    "limits: {quench: {at_most: 9**9**9, because: tried}}\n",
    "limits: {quench: {at_most: {intake: 1 in, exhaust: 1 in}, because: tried}}\n", "report: ../REPORT.md\n",
    "report: build.yaml\n",
    "report: /tmp/x.md\n", "report: .git/config.md\n", 'report: "a\\nb.md"\n', "- 1\n", "limits: &a {}\n",
    "builds: engines\n",
]  # fmt: skip


@pytest.mark.parametrize("text", SETTINGS, ids=range(len(SETTINGS)))
def test_settings_that_cannot_be_meant(text: str, call: Call, tmp_path: Path) -> None:
    build(tmp_path / "eider")
    (tmp_path / "shop").mkdir()
    (tmp_path / "buildcheck.yaml").write_text(text)
    ended = call("check")
    assert ended.code == 2
    assert [line for line in ended.errors if line.startswith(("buildcheck.yaml:", "shop:"))]


def test_settings_below_the_root_do_not_loosen_what_the_team_set(call: Call, tmp_path: Path) -> None:
    (tmp_path / "buildcheck.yaml").write_text("limits: {quench: {at_most: 0.050 in, because: tried}}\n")
    (tmp_path / ".git").mkdir()
    folder = build(tmp_path / "engines" / "eider")
    (folder / "buildcheck.yaml").write_text("limits: {quench: {at_most: 9 in, because: tried}}\n")
    for words in ([], ["engines/eider"], ["engines/eider/build.yaml"]):
        ended = call("check", *words)
        assert ended.code == 2
        assert "engines/eider/buildcheck.yaml:1:1: error: counts only at the repository's root" in ended.out


def test_builds_of_two_repositories_are_not_judged_by_the_rules_of_one(call: Call, tmp_path: Path) -> None:
    for name in ("one", "other"):
        build(tmp_path / name)
        (tmp_path / name / "buildcheck.yaml").write_text("note: mine\n")
    ended = call("check", "one", "other")
    assert (ended.code, ended.err) == (
        2,
        "buildcheck: other is in another repository than one: check them one by one\n",
    )


def test_a_build_that_lost_its_head(call: Call, tmp_path: Path) -> None:
    build(tmp_path / "eider")
    copied("example_build", tmp_path)
    (tmp_path / "example_build" / "build.yaml").rename(tmp_path / "example_build" / "build.yml")
    ended = call("check")
    assert ended.code == 2
    assert len([line for line in ended.errors if line.startswith("example_build/")]) == 2


def test_a_report_of_what_cannot_be_read_is_never_current(call: Call, tmp_path: Path) -> None:
    (build(tmp_path / "eider") / "heads.yaml").write_text("zz: 1\n")
    assert [call(*words).code for words in (["report"], ["report", "--check"])] == [2, 2]
    assert "Cannot be judged" in (tmp_path / "eider" / "REPORT.md").read_text()


def test_tracked_files_outside_of_git(call: Call, tmp_path: Path) -> None:
    build(tmp_path / "eider")
    assert call("check", "--tracked").code == 2


@pytest.mark.parametrize("name", BUILDS)
def test_a_build_with_any_file_gone_is_not_ready(name: str, tmp_path: Path) -> None:
    whole = copied(name, tmp_path)
    needed = [file for file in FILES if (whole / f"{file}.yaml").exists()]
    needed = [file for file in needed if file not in ("build", "stackup", "clearances")]
    for gone in [*combinations(needed, 1), *combinations(needed, len(needed) - 1)]:
        part = tmp_path / "-".join(gone)
        shutil.copytree(whole, part, ignore=lambda _, files, gone=gone: {f"{file}.yaml" for file in gone} & set(files))
        assert judged(part).verdict == "open", gone


def installation(home: Path) -> Path:
    """The tool as a wheel lays it out, to be broken."""
    shutil.copytree(ROOT / "buildcheck", home / "buildcheck")
    for name in ("rules", "schemas"):
        shutil.copytree(ROOT / name, home / "buildcheck" / "data" / name)
    return home / "buildcheck"


@pytest.fixture(scope="module")
def sound(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return installation(tmp_path_factory.mktemp("sound"))


@pytest.fixture(scope="module")
def fails_on_eider(tmp_path_factory: pytest.TempPathFactory) -> Path:
    package = installation(tmp_path_factory.mktemp("fails"))
    with (package / "app" / "build_check.py").open("a") as code:
        code.write(
            "\n\n_order = order\n"
            "def order(facts):\n    assert not facts.build.display_path.startswith('eider')\n    return _order(facts)\n"
        )
    return package


@pytest.fixture
def work(tmp_path: Path) -> Path:
    build(tmp_path / "work" / "eider")
    return tmp_path / "work"


NOT_JUDGED = (
    "eider/build.yaml:1:1: note: Cannot be judged because of 1 error. "
    "No rule was checked, so nothing else is known yet. "
    "Do not order. Correct the error above, then check again [verdict]"
)


def ended(package: Path, folder: Path, *options: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-P", "-m", "buildcheck", "check", *options]
    environment = {**os.environ, "PYTHONPATH": str(package.parent)}
    return subprocess.run(command, cwd=folder, env=environment, capture_output=True, text=True, check=False)


def test_an_installation_that_lost_its_rules(sound: Path, work: Path, tmp_path: Path) -> None:
    assert ended(sound, work).returncode == 0
    lost = installation(tmp_path / "lost")
    shutil.rmtree(lost / "data" / "rules")
    done = ended(lost, work)
    assert (done.returncode, "holds no rule" in done.stdout) == (2, True)


def test_an_error_of_our_own(work: Path, tmp_path: Path) -> None:
    wrong = installation(tmp_path / "wrong")
    with (wrong / "ordering" / "order.py").open("a") as code:
        code.write("\n\ndef order(facts):\n    return [][1]\n")
    done = ended(wrong, work)
    assert done.returncode == 2
    assert done.stderr.startswith("Traceback")
    assert done.stderr.endswith("buildcheck: internal error, eider was not judged\n")
    why = "error: internal error, no build was judged: IndexError: list index out of range"
    assert done.stdout.splitlines() == [f"eider/build.yaml:1:1: {why} [input]", NOT_JUDGED]


FORMATS = ("json", "github", "sarif", "junit", "gitlab", "summary", "text")
IN_EVERY_FORMAT = f"""
import io, json
from contextlib import redirect_stdout
from buildcheck.cli.main import main
ended = {{}}
for form in {FORMATS}:
    with redirect_stdout(io.StringIO()) as out:
        ended[form] = main(["check", "--format", form]), out.getvalue()
print(json.dumps(ended))
"""


def in_every_format(package: Path, folder: Path) -> dict[str, tuple[int, str]]:
    """Exit code and output of a check in each format, by one process of that installation."""
    environment = {**os.environ, "PYTHONPATH": str(package.parent)}
    done = subprocess.run(
        [sys.executable, "-P", "-c", IN_EVERY_FORMAT], cwd=folder, env=environment, stdout=subprocess.PIPE, check=True
    )
    return {form: (code, out) for form, (code, out) in json.loads(done.stdout).items()}


def test_an_error_of_our_own_leaves_the_other_builds_their_results(
    sound: Path, fails_on_eider: Path, work: Path
) -> None:
    """Code that fails on the name of one build judges the others; in every format that is an error."""
    shutil.copytree(work / "eider", work / "smew")
    right, wrong = in_every_format(sound, work), in_every_format(fails_on_eider, work)
    for form in FORMATS:
        assert (right[form][0], wrong[form][0]) == (0, 2), form
        assert "smew" in wrong[form][1] or "smew" not in right[form][1], form
    for form in ("json", "sarif", "gitlab"):
        json.loads(wrong[form][1])


def test_an_error_of_our_own_in_a_process_of_many_leaves_the_other_builds_their_results(
    fails_on_eider: Path, work: Path
) -> None:
    for number in range(17):
        shutil.copytree(work / "eider", work / f"smew-{number}")
    done = ended(fails_on_eider, work, "--format", "json")
    assert done.returncode == 2
    assert len(json.loads(done.stdout)["builds"]) == 18
    assert all(f"smew-{number}" in done.stdout for number in range(17))
