"""Reports when two branches meet: trials on different valves never conflict, and the merged report is not current."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest
from history import ROOT, commit, git, replace

from buildcheck.cli.main import main
from buildcheck.cli.scaffold import SKELETON

SKELETON_FOLDER = ROOT / "buildcheck" / "cli" / "skeleton"
TRIAL = "{length: %s in, mark: {from: %s in, to: %s in}"
BRANCHES = {
    "one": (TRIAL % ("9.4255", "0.145", "0.172"), TRIAL % ("9.4265", "0.146", "0.173")),
    "other": (TRIAL % ("9.4210", "0.137", "0.169"), TRIAL % ("9.4220", "0.138", "0.170")),
}


@pytest.fixture(scope="module")
def origin(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two branches from ``start``, each with a corrected trial of another valve and its report."""
    top = tmp_path_factory.mktemp("branches")
    git(top, "init", "--quiet", "--initial-branch=main")
    shutil.copy(SKELETON_FOLDER / "gitattributes", top / ".gitattributes")
    build = top / "engines" / "dunlin"
    shutil.copytree(ROOT / "example_build", build)
    main(["report", str(build)])
    commit(top, "start")
    for branch, (old, new) in BRANCHES.items():
        git(top, "checkout", "--quiet", "-b", f"on-{branch}", "start")
        replace(build / "marks.yaml", old, new)
        main(["report", str(build)])
        commit(top, branch)
    return top


@pytest.fixture
def top(origin: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    shutil.copytree(origin, tmp_path / "clone")
    monkeypatch.chdir(tmp_path / "clone")
    return tmp_path / "clone"


def merge(top: Path, branch: str = "one") -> int:
    who = ["-c", "user.name=T", "-c", "user.email=t@example.invalid", "-c", "core.hooksPath=/dev/null"]
    command = ["git", *who, "merge", "--quiet", "--no-edit", branch]
    return subprocess.run(command, cwd=top, capture_output=True, check=False).returncode


def test_reports_merge_without_a_conflict_and_are_not_current_until_they_are_written(
    top: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Git's own union driver needs no set-up in a clone."""
    assert merge(top) == 0
    report = (top / "engines" / "dunlin" / "REPORT.md").read_text()
    assert "<<<<<<<" not in report
    assert main(["report", "--check"]) == 1
    assert main(["report"]) == 0
    assert main(["report", "--check"]) == 0
    assert (top / "engines" / "dunlin" / "REPORT.md").read_text() != report


RECORDED = {
    "intake": ("1/intake", "--length", "9.4265", "--mark", ".146-.173", "--lines", ".153,.151"),
    "exhaust": ("5/exhaust", "--length", "9.422", "--mark", ".138-.170", "--lines", ".145,.145"),
}


def test_trials_that_two_people_record_never_conflict(top: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Readings, reports and overview, in a repository as ``start --repository`` writes it."""
    git(top, "checkout", "--quiet", "-b", "base", "start")
    main(["report", "--index"])
    commit(top, "base-reports")
    for name, words in RECORDED.items():
        git(top, "checkout", "--quiet", "-b", name, "base")
        assert main(["record", "engines/dunlin", *words, "--on", "2026-11-20"]) == 0
        assert (main(["report"]), main(["report", "--index"])) == (0, 0)
        commit(top, f"recorded-{name}")
    assert merge(top, "intake") == 0
    assert "<<<<<<<" not in git(top, "show", "--format=", "--unified=0", "-m", "HEAD")
    text = (top / "engines" / "dunlin" / "marks.yaml").read_text(encoding="utf-8")
    assert text.count("on: 2026-11-20") == len(RECORDED)
    assert (main(["check"]), main(["report"]), main(["report", "--check"])) == (0, 0, 0)


def test_readings_are_merged_by_people(top: Path) -> None:
    """Only generated files have the driver: both trials are in the file, and a conflict there stays one."""
    merge(top)
    marks = (top / "engines" / "dunlin" / "marks.yaml").read_text()
    assert all(new in marks for _, new in BRANCHES.values())
    assert git(top, "check-attr", "merge", "engines/dunlin/marks.yaml").strip().endswith(": unspecified")


def test_the_guide_has_three_steps() -> None:
    guide = (SKELETON_FOLDER / "README.md").read_text().partition("## After a merge\n")[2]
    steps = [line for line in guide.splitlines() if line[:2] in ("1.", "2.", "3.")]
    assert [step.partition("`")[2].partition("`")[0] for step in steps] == [
        "*.yaml", "buildcheck report && buildcheck report --index", "git add --all && git commit --no-edit",
    ]  # fmt: skip


def test_a_new_repository_offers_owners_for_what_decides() -> None:
    assert SKELETON[".github/CODEOWNERS"] == "CODEOWNERS"
    offered = (SKELETON_FOLDER / "CODEOWNERS").read_text()
    paths = {line.split()[1] for line in offered.splitlines() if line.startswith(("# /", "# **/"))}
    assert paths == {"/buildcheck.yaml", "/shop-rules/", "**/concessions.yaml", "/.github/", "/.pre-commit-config.yaml"}
