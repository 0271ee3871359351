"""Two branches meet: git keeps one report whole and stops, and only readings at the same position leave a hunk."""

from __future__ import annotations

import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest
from history import ROOT, commit, git, replace

from buildcheck.cli.main import main
from buildcheck.cli.scaffold import SKELETON

SKELETON_FOLDER = ROOT / "buildcheck" / "cli" / "skeleton"
BUILD = Path("engines", "dunlin")
Edit = Callable[[Path], None]
TRIAL = "{length: %s in, mark: {from: %s in, to: %s in}"


def _trial(old: tuple[str, str, str], new: tuple[str, str, str]) -> Edit:
    return lambda build: replace(build / "marks.yaml", TRIAL % old, TRIAL % new)


def _recorded(valve: str, length: str, mark: str, lines: str) -> Edit:
    words = (valve, "--length", length, "--mark", mark, "--lines", lines, "--on", "2026-11-20")

    def record(build: Path) -> None:
        assert main(["record", str(build), *words]) == 0

    return record


FIRST = ("9.4255", "0.145", "0.172")
CHANGED = _trial(FIRST, ("9.4265", "0.146", "0.173"))
CASES: dict[str, tuple[Edit, Edit, int]] = {
    "changed": (CHANGED, _trial(("9.4210", "0.137", "0.169"), ("9.4220", "0.138", "0.170")), 0),
    "added": (
        _recorded("1/intake", "9.4265", ".146-.173", ".153,.151"),
        _recorded("5/exhaust", "9.422", ".138-.170", ".145,.145"), 0,
    ),
    "distant": (
        _recorded("2/exhaust", "9.4295", ".149-.179", ".157,.156"),
        _recorded("5/intake", "9.423", ".138-.170", ".145,.145"), 1,
    ),
    "neighbours": (
        _recorded("4/intake", "9.4295", ".149-.179", ".157,.156"),
        _recorded("4/exhaust", "9.423", ".138-.170", ".145,.145"), 1,
    ),
    "same": (CHANGED, _trial(FIRST, ("9.4245", "0.144", "0.171")), 1),
}  # fmt: skip
"""What each branch does -> the hunks in marks.yaml."""


def _by_hand(top: Path) -> None:
    shutil.copytree(ROOT / "example_build", top / BUILD, ignore=shutil.ignore_patterns("REPORT.md", ".gitattributes"))


def _started(top: Path) -> None:
    assert main(["start", str(top / BUILD)]) == 0
    for path in (ROOT / "example_build").glob("*.yaml"):
        shutil.copy(path, top / BUILD)


def _repository(top: Path) -> None:
    assert main(["start", "--repository", str(top)]) == 0
    shutil.rmtree(top / "engines" / "first")
    _by_hand(top)


ORIGINS = {"by hand": _by_hand, "start": _started, "start --repository": _repository}


@pytest.fixture(scope="module")
def origins(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """A repository for each way to begin, with its first report."""
    tops = {}
    for name, begin in ORIGINS.items():
        tops[name] = top = tmp_path_factory.mktemp("branches")
        git(top, "init", "--quiet", "--initial-branch=main")
        begin(top)
        assert main(["report", str(top / BUILD)]) == 0
        commit(top, "start")
    return tops


@pytest.fixture
def top(origins: dict[str, Path], request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    return Path(shutil.copytree(origins[getattr(request, "param", "by hand")], tmp_path / "clone"))


def branches_met(top: Path, *edits: Edit) -> int:
    """Make each edit and its report on a branch of its own, and merge the first into the last."""
    for number, edit in enumerate(edits):
        git(top, "checkout", "--quiet", "-b", f"branch-{number}", "start")
        edit(top / BUILD)
        assert main(["report", str(top / BUILD)]) == 0
        commit(top, f"edit-{number}")
    who = ["-c", "user.name=T", "-c", "user.email=t@example.invalid", "-c", "core.hooksPath=/dev/null"]
    command = ["git", *who, "merge", "--quiet", "--no-edit", "branch-0"]
    return subprocess.run(command, cwd=top, capture_output=True, check=False).returncode


def hunks(top: Path, name: str) -> int:
    return (top / BUILD / name).read_text(encoding="utf-8").count("<<<<<<< ")


def met(top: Path, case: str) -> None:
    """The branches of a case, merged: git stops, no line of the report is mixed, and nothing is green."""
    *edits, in_marks = CASES[case]
    assert branches_met(top, *edits) == 1
    assert (hunks(top, "marks.yaml"), hunks(top, "REPORT.md")) == (in_marks, 0)
    assert git(top, "diff", "--name-only", "--diff-filter=U").split()[0] == f"{BUILD.as_posix()}/REPORT.md"
    assert main(["report", "--check", str(top / BUILD)]) == (2 if in_marks else 1)


def without_markers(top: Path) -> None:
    marks = top / BUILD / "marks.yaml"
    lines = marks.read_text(encoding="utf-8").splitlines(keepends=True)
    marks.write_text("".join(line for line in lines if line[:7] not in ("<" * 7, "=" * 7, ">" * 7)), encoding="utf-8")


@pytest.mark.parametrize(("top", "case"), [("by hand", "changed"), ("start", "added")], indirect=["top"])
def test_trials_of_different_valves_leave_no_hunk(top: Path, case: str) -> None:
    met(top, case)
    kept = git(top, "show", f"HEAD:{BUILD.as_posix()}/REPORT.md")
    assert (top / BUILD / "REPORT.md").read_text(encoding="utf-8") == kept
    assert main(["check", str(top / BUILD)]) == 0


def test_the_same_trial_is_one_conflict_that_people_decide(top: Path) -> None:
    met(top, "same")
    assert main(["check", str(top / BUILD)]) == 2


@pytest.mark.parametrize("top", ["start --repository"], indirect=True)
def test_new_valves_are_one_hunk_that_keeps_both_readings(top: Path) -> None:
    met(top, "distant")
    without_markers(top)
    assert main(["report", str(top / BUILD)]) == 0
    commit(top, "merged")
    assert (top / BUILD / "marks.yaml").read_text(encoding="utf-8").count("on: 2026-11-20") == 2
    assert main(["report", "--check", str(top / BUILD)]) == 0


def test_new_valves_of_one_cylinder_are_never_mixed_silently(top: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Git keeps the common line ``cylinder: 4`` once: without its markers the entry has each key twice."""
    met(top, "neighbours")
    without_markers(top)
    capsys.readouterr()
    assert main(["check", str(top / BUILD)]) == 2
    assert "'valve' is written twice" in capsys.readouterr().out


@pytest.mark.parametrize("top", ["start --repository"], indirect=True)
def test_the_overview_is_kept_whole_too(top: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(top)

    def with_overview(edit: Edit) -> Edit:
        return lambda build: (edit(build), main(["report", "--index"]), None)[-1]

    with_overview(lambda build: None)(BUILD)
    commit(top, "overview")
    git(top, "tag", "--force", "start")
    branches_met(top, *map(with_overview, CASES["changed"][:2]))
    assert "<<<<<<<" not in (top / "BUILDS.md").read_text(encoding="utf-8")
    assert (main(["report"]), main(["report", "--index"])) == (0, 0)
    assert (main(["report", "--check"]), main(["report", "--index", "--check"])) == (0, 0)


def test_a_report_with_markers_is_never_current(top: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """With attributes of the team that say nothing of reports, git mixes the lines of both."""
    (top / BUILD / ".gitattributes").write_text("# ours\n", encoding="utf-8")
    commit(top, "without")
    git(top, "tag", "--force", "start")
    branches_met(top, *CASES["changed"][:2])
    assert hunks(top, "REPORT.md") > 1
    capsys.readouterr()
    assert main(["report", "--check", str(top / BUILD)]) == 1
    assert "has an unresolved merge: resolve the YAML files" in capsys.readouterr().out
    assert (main(["report", str(top / BUILD)]), hunks(top, "REPORT.md")) == (0, 0)


def test_attributes_are_written_once_and_where_nothing_else_decides(top: Path, tmp_path: Path) -> None:
    written = (top / BUILD / ".gitattributes").read_text(encoding="utf-8")
    assert "\nREPORT.md merge=binary\n" in written
    (top / BUILD / ".gitattributes").write_text("# ours\n", encoding="utf-8")
    main(["report", str(top / BUILD)])
    assert (top / BUILD / ".gitattributes").read_text(encoding="utf-8") == "# ours\n"
    (top / BUILD / ".gitattributes").unlink()
    (top / ".gitattributes").write_text("*.md -merge\n", encoding="utf-8")
    main(["report", str(top / BUILD)])
    assert not (top / BUILD / ".gitattributes").exists()
    _by_hand(tmp_path / "no-git")
    main(["report", str(tmp_path / "no-git" / BUILD)])
    assert not list((tmp_path / "no-git").rglob(".gitattributes"))


def test_readings_are_merged_by_people(top: Path) -> None:
    """Only generated files have a driver: git's own rules hold for readings, in every kind of repository."""
    for name in ("REPORT.md", "marks/1-intake.svg"):
        assert git(top, "check-attr", "merge", (BUILD / name).as_posix()).endswith(": binary\n")
    assert git(top, "check-attr", "merge", (BUILD / "marks.yaml").as_posix()).endswith(": unspecified\n")


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
