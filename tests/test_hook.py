"""The hooks as a team has them: a real repository, the real pre-commit, the hook built as a wheel from a clone."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from importlib.metadata import distribution
from pathlib import Path

import pytest
from history import commit, git
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

from buildcheck.cli.main import main

ROOT = Path(__file__).parent.parent
GOOD_MARK = "mark: {from: 0.145 in, to: 0.172 in}"
BAD_MARK = "mark: {from: 0.005 in, to: 0.032 in}"


class Team:
    """A team's repository with one build, and what its members do there."""

    def __init__(self, folder: Path, home: Path, dependencies: Path) -> None:
        self.folder = folder
        self.build = folder / "engines" / "dunlin"
        who = {f"GIT_{role}_{what}": "tester" for role in ("AUTHOR", "COMMITTER") for what in ("NAME", "EMAIL")}
        self.environment = {**os.environ, **who, "PRE_COMMIT_HOME": str(home), "GIT_CONFIG_GLOBAL": os.devnull}
        # 0: pip reads this as the value of build_isolation
        self.environment |= {"PIP_NO_COMPILE": "1", "PIP_NO_BUILD_ISOLATION": "0", "PIP_NO_INDEX": "1"}
        self.environment["PYTHONPATH"] = str(dependencies)

    def run(self, *command: str, check: bool = True) -> subprocess.CompletedProcess[str]:
        done = subprocess.run(
            command, cwd=self.folder, env=self.environment, capture_output=True, text=True, check=False
        )
        assert not check or done.returncode == 0, done.stdout + done.stderr
        return done

    def change(self, file: str, old: str, new: str) -> None:
        path = self.build / file
        assert old in path.read_text()
        path.write_text(path.read_text().replace(old, new, 1))

    def report(self) -> None:
        main(["report", str(self.folder / "engines")])

    def commit(self) -> str:
        """Commit all that is tracked; the output of the hooks, empty when the commit went through."""
        self.run("git", "add", "-u")
        done = self.run("git", "commit", "-m", "change", check=False)
        return "" if done.returncode == 0 else done.stdout + done.stderr

    def reset(self) -> None:
        self.run("git", "reset", "-q", "--hard", "start")
        self.run("git", "clean", "-qfd")


@pytest.fixture(scope="session")
def hooked(tmp_path_factory: pytest.TempPathFactory) -> Team:
    folder = tmp_path_factory.mktemp("team")
    source = folder / "tool"
    revision = _source(source)
    team = Team(folder / "team", folder / "home", _dependencies(folder / "dependencies"))
    shutil.copytree(ROOT / "example_build", team.build)
    team.run("git", "init", "-q", "-b", "main")
    hooks = "".join(f"      - id: {name}\n" for name in ("buildcheck", "buildcheck-report"))
    config = f"repos:\n  - repo: {source}\n    rev: {revision}\n    hooks:\n{hooks}"
    (team.folder / ".pre-commit-config.yaml").write_text(config)
    team.run(sys.executable, "-m", "pre_commit", "install")
    team.report()
    team.run("git", "add", "-A")
    team.run("git", "commit", "-q", "-m", "start")
    team.run("git", "tag", "start")
    return team


def _dependencies(folder: Path) -> Path:
    """Links to the packages that pyproject.toml declares, and to theirs, so that pip finds them without a download.

    What is not declared is not there: the hook then fails as on another machine.
    """
    folder.mkdir()
    declared = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    names, wanted = set[str](), [*declared["build-system"]["requires"], *declared["project"]["dependencies"]]
    while wanted:
        requirement = Requirement(wanted.pop())
        name = canonicalize_name(requirement.name)
        if name not in names and (requirement.marker is None or requirement.marker.evaluate({"extra": ""})):
            names.add(name)
            found = distribution(name)
            wanted += found.requires or ()
            for top in {file.parts[0] for file in found.files or ()} - {"..", "__pycache__"}:
                if not (folder / top).exists():
                    (folder / top).symlink_to(str(found.locate_file(top)))
    return folder


def _source(source: Path) -> str:
    """The tool's files as the working tree has them, committed, so that the test tests the code at hand."""
    listed = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, text=True, check=True).stdout
    for name in filter(None, listed.split("\0")):
        if (ROOT / name).is_file() and not name.startswith("tests/"):
            (source / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copy(ROOT / name, source / name)
    return write_commit(source)


def write_commit(folder: Path) -> str:
    """All of a folder as the first commit of a repository; its name."""
    git(folder, "init", "-q")
    commit(folder, "v1")
    return git(folder, "rev-parse", "HEAD").strip()


@pytest.fixture
def team(hooked: Team) -> Iterator[Team]:
    hooked.reset()
    yield hooked
    hooked.reset()


def test_what_is_not_due_yet_lets_a_good_commit_pass(team: Team, capsys: pytest.CaptureFixture[str]) -> None:
    team.change("marks.yaml", GOOD_MARK, BAD_MARK)
    team.change("build.yaml", "stage: ordering", "stage: measuring")
    team.report()
    assert team.commit() == ""
    capsys.readouterr()
    assert main(["check", str(team.folder / "engines")]) == 0
    assert "note: cylinder 1 intake: distance from the mark to the valve tip edge" in capsys.readouterr().out


def test_a_mark_that_runs_off_is_blocked_at_its_line_and_so_is_the_stale_report(team: Team) -> None:
    team.change("marks.yaml", GOOD_MARK, BAD_MARK)
    blocked = team.commit()
    assert (
        "engines/dunlin/marks.yaml:21:42: error: cylinder 1 intake: distance from the mark to the valve tip edge"
        in blocked
    )
    assert "[mark-on-tip " in blocked
    assert "REPORT.md:1:1: error: is stale: its inputs changed since it was written" in blocked


def test_deleting_the_file_that_makes_it_a_build_is_blocked(team: Team) -> None:
    """pre-commit names no deleted file to a hook."""
    team.run("git", "rm", "-q", "engines/dunlin/build.yaml")
    assert "this commit removes from git: restore it, or add an entry with its reason to 'ignore'" in team.commit()


def test_an_untracked_file_does_not_count(team: Team) -> None:
    team.run("git", "rm", "-q", "--cached", "engines/dunlin/clearances.yaml")
    assert "engines/dunlin/clearances.yaml:1:1: error: is not in the commit" in team.commit()


def test_a_report_edited_by_hand_is_blocked(team: Team) -> None:
    team.change("REPORT.md", "Ready to order", "Ready to run")
    assert "was edited by hand" in team.commit()
