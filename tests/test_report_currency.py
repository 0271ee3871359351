"""``report --check`` tells missing, stale, hand-edited and otherwise written reports apart."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from history import commit, git, replace

from buildcheck.cli.main import main

ROOT = Path(__file__).parent.parent
RULE = (ROOT / "rules" / "marks" / "mark-width.yaml").read_text(encoding="utf-8")


@pytest.fixture
def team(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A repository with a rule of its own and one build, its report written."""
    (tmp_path / "own" / "marks").mkdir(parents=True)
    own = RULE.replace("id: mark-width", "id: width-of-ours")
    (tmp_path / "own" / "marks" / "width-of-ours.yaml").write_text(own, encoding="utf-8")
    (tmp_path / "buildcheck.yaml").write_text("rules: [own/]\n", encoding="utf-8")
    shutil.copytree(ROOT / "tests" / "builds" / "vee_eight_mm", tmp_path / "engine")
    monkeypatch.chdir(tmp_path)
    assert main(["report", "engine"]) == 0
    return tmp_path


def _told(capsys: pytest.CaptureFixture[str], *words: str) -> str:
    code = main(["report", "--check", *words])
    out = capsys.readouterr().out
    assert code == int(bool(out))
    return out.partition("error: ")[2].partition(";")[0].partition(" [")[0].strip()


def test_current(team: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert _told(capsys) == ""


def test_current_with_other_line_endings(team: Path, capsys: pytest.CaptureFixture[str]) -> None:
    report = team / "engine" / "REPORT.md"
    report.write_bytes(report.read_bytes().replace(b"\n", b"\r\n"))
    assert _told(capsys) == ""


def test_missing(team: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (team / "engine" / "REPORT.md").unlink()
    assert _told(capsys) == "is missing"


@pytest.mark.parametrize(
    ("file", "old", "new", "named"),
    [
        ("engine/rockers.yaml", "ratio: ", "ratio:  ", "rockers.yaml"),
        ("engine/build.yaml", "name: ", "name: Old ", "build.yaml"),
        ("own/marks/width-of-ours.yaml", "title: ", "title: Our ", "team's rules"),
        ("buildcheck.yaml", "rules: ", "rules:  ", "team's settings"),
    ],
)
def test_stale_names_what_changed(
    team: Path, capsys: pytest.CaptureFixture[str], file: str, old: str, new: str, named: str
) -> None:
    replace(team / file, old, new)
    assert _told(capsys) == f"is stale: {named} changed since it was written"


def test_stale_names_a_file_that_came_or_went(team: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (team / "engine" / "clearances.yaml").unlink()
    (team / "engine" / "concessions.yaml").write_text("[]\n", encoding="utf-8")
    assert _told(capsys) == "is stale: clearances.yaml, concessions.yaml changed since it was written"


def test_edited_by_hand(team: Path, capsys: pytest.CaptureFixture[str]) -> None:
    replace(team / "engine" / "REPORT.md", "## Valves", "## Valves, all well")
    assert _told(capsys).startswith("was edited by hand, or merged from two")


def test_edited_and_stale(team: Path, capsys: pytest.CaptureFixture[str]) -> None:
    replace(team / "engine" / "REPORT.md", "## Valves", "## Valves, all well")
    replace(team / "engine" / "rockers.yaml", "ratio: ", "ratio:  ")
    told = "is stale: rockers.yaml changed since it was written, and was edited by hand besides"
    assert _told(capsys) == told


def test_another_text_that_is_whole_is_another_version_s(team: Path, capsys: pytest.CaptureFixture[str]) -> None:
    from buildcheck.output.report.freshness import sealed

    report = team / "engine" / "REPORT.md"
    body = report.read_text(encoding="utf-8").rpartition("- all above")[0]
    report.write_text(sealed(body.replace("## Valves", "## Each valve")), encoding="utf-8")
    assert _told(capsys).startswith("is not what would be written now, though no input changed: by another version")


def test_a_report_that_git_does_not_have_is_told(team: Path, capsys: pytest.CaptureFixture[str]) -> None:
    git(team, "init", "--quiet")
    (team / ".gitignore").write_text("REPORT.md\n", encoding="utf-8")
    commit(team, "first")
    assert _told(capsys, "--tracked") == "exists but is not in the commit: git add it"
    git(team, "add", "--force", "engine/REPORT.md")
    assert _told(capsys, "--tracked") == ""
