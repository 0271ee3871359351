"""``report --check`` keeps missing, stale and hand-edited reports apart."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest
from history import commit, git, replace

from buildcheck.cli.main import main

ROOT = Path(__file__).parent.parent
RULE = (ROOT / "rules" / "marks" / "mark-width.yaml").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def reported(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A repository with a rule of its own and one build, its report written."""
    top = tmp_path_factory.mktemp("reported")
    (top / "own" / "marks").mkdir(parents=True)
    own = RULE.replace("id: mark-width", "id: width-of-ours")
    (top / "own" / "marks" / "width-of-ours.yaml").write_text(own, encoding="utf-8")
    (top / "buildcheck.yaml").write_text("rules: [own/]\n", encoding="utf-8")
    shutil.copytree(ROOT / "tests" / "builds" / "vee_eight_mm", top / "engine")
    assert main(["report", str(top / "engine")]) == 0
    return top


@pytest.fixture
def team(reported: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A copy of the repository, which is the working directory."""
    shutil.copytree(reported, tmp_path, dirs_exist_ok=True)
    monkeypatch.chdir(tmp_path)
    return tmp_path


def _output(capsys: pytest.CaptureFixture[str], *words: str) -> str:
    code = main(["report", "--check", *words])
    out = capsys.readouterr().out
    assert code == int(bool(out))
    return out.partition("error: ")[2].partition(";")[0].partition(" [")[0].strip()


def test_current(team: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert _output(capsys) == ""


def test_current_with_other_line_endings(team: Path, capsys: pytest.CaptureFixture[str]) -> None:
    report = team / "engine" / "REPORT.md"
    report.write_bytes(report.read_bytes().replace(b"\n", b"\r\n"))
    assert _output(capsys) == ""


def test_missing(team: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (team / "engine" / "REPORT.md").unlink()
    assert _output(capsys) == "is missing"


@pytest.mark.parametrize(
    ("file", "old", "new"),
    [
        ("own/marks/width-of-ours.yaml", "title: ", "title: Our "),
        ("buildcheck.yaml", "rules: ", "limits: {width-of-ours: {at_most: 9 mm, because: wide tips}}\nrules: "),
    ],
)
def test_stale(team: Path, capsys: pytest.CaptureFixture[str], file: str, old: str, new: str) -> None:
    replace(team / file, old, new)
    assert _output(capsys).startswith("is stale: its inputs changed since it was written (")


def test_stale_names_the_first_line_that_would_differ(team: Path, capsys: pytest.CaptureFixture[str]) -> None:
    replace(team / "engine" / "build.yaml", "name: ", "name: Old ")
    assert _output(capsys) == "is stale: its inputs changed since it was written (line 1 would differ)"


def test_stale_where_a_value_changed_that_is_not_shown(team: Path, capsys: pytest.CaptureFixture[str]) -> None:
    replace(team / "engine" / "build.yaml", "name: ", "note: measured twice\nname: ")
    assert _output(capsys) == "is stale: its inputs changed since it was written (a value that it does not show)"


def test_stale_where_a_file_came_or_went(team: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (team / "engine" / "clearances.yaml").unlink()
    assert _output(capsys).startswith("is stale")


@pytest.mark.parametrize("file", ["engine/rockers.yaml", "own/marks/width-of-ours.yaml", "buildcheck.yaml"])
def test_current_with_a_comment_more(team: Path, capsys: pytest.CaptureFixture[str], file: str) -> None:
    (team / file).write_text(f"# a comment\n{(team / file).read_text(encoding='utf-8')}", encoding="utf-8")
    assert _output(capsys) == ""


@pytest.mark.parametrize(
    ("old", "new"), [("## Valves", "## Valves, all well"), ("common practice", "a standard"), ("Made from: ", "")]
)
def test_edited_by_hand(team: Path, capsys: pytest.CaptureFixture[str], old: str, new: str) -> None:
    replace(team / "engine" / "REPORT.md", old, new)
    words = r"was edited by hand, merged or written by another version: the inputs are the same, line \d+ differs"
    assert re.fullmatch(words, _output(capsys))


def test_edited_at_its_end(team: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with (team / "engine" / "REPORT.md").open("a", encoding="utf-8") as report:
        report.write("All well.\n")
    assert _output(capsys).startswith("was edited by hand")


def test_a_report_that_git_does_not_have_is_reported(team: Path, capsys: pytest.CaptureFixture[str]) -> None:
    git(team, "init", "--quiet")
    (team / ".gitignore").write_text("REPORT.md\n", encoding="utf-8")
    commit(team, "first")
    assert _output(capsys, "--tracked") == "exists but is not in the commit: git add it"
    git(team, "add", "--force", "engine/REPORT.md")
    assert _output(capsys, "--tracked") == ""
