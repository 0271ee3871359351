"""The hooks as a team has them: a real repository, the real pre-commit, the hook built as a wheel from a clone."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
GOOD_MARK = "mark: {from: 0.145 in, to: 0.172 in}"
BAD_MARK = "mark: {from: 0.005 in, to: 0.032 in}"


class Team:
    """A team's repository with one build, and what its members do there."""

    def __init__(self, folder: Path, home: Path) -> None:
        self.folder = folder
        self.build = folder / "engines" / "dunlin"
        who = {f"GIT_{role}_{what}": "tester" for role in ("AUTHOR", "COMMITTER") for what in ("NAME", "EMAIL")}
        self.environment = {**os.environ, **who, "PRE_COMMIT_HOME": str(home), "GIT_CONFIG_GLOBAL": os.devnull}
        self.environment["PIP_NO_COMPILE"] = "1"
        self.environment.pop("PYTHONPATH", None)

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
        self.run(sys.executable, "-m", "buildcheck", "report", "engines", check=False)

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
    subprocess.run(["git", "clone", "-q", str(ROOT), str(source)], check=True)
    _overlay(source)
    team = Team(folder / "team", folder / "home")
    shutil.copytree(ROOT / "example_build", team.build)
    team.run("git", "init", "-q", "-b", "main")
    revision = subprocess.run(["git", "rev-parse", "HEAD"], cwd=source, capture_output=True, text=True, check=True)
    hooks = "".join(f"      - id: {name}\n" for name in ("buildcheck", "buildcheck-report"))
    config = f"repos:\n  - repo: {source}\n    rev: {revision.stdout.strip()}\n    hooks:\n{hooks}"
    (team.folder / ".pre-commit-config.yaml").write_text(config)
    team.run(sys.executable, "-m", "pre_commit", "install")
    team.report()
    team.run("git", "add", "-A")
    team.run("git", "commit", "-q", "-m", "start")
    team.run("git", "tag", "start")
    return team


def _overlay(source: Path) -> None:
    """The clone gets what the working tree has beyond the last commit, so that the test tests the code at hand."""
    listed = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, text=True, check=True).stdout
    for name in filter(None, listed.split("\0")):
        if (ROOT / name).is_file():
            (source / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copy(ROOT / name, source / name)
    identity = ["-c", "user.name=tester", "-c", "user.email=tester"]
    subprocess.run(["git", *identity, "commit", "-qam", "as at hand", "--allow-empty"], cwd=source, check=True)


@pytest.fixture
def team(hooked: Team) -> Iterator[Team]:
    hooked.reset()
    yield hooked
    hooked.reset()


def test_a_good_commit_passes(team: Team) -> None:
    team.change("build.yaml", "name: Dunlin", "name: The Dunlin")
    team.report()
    assert team.commit() == ""


def test_a_mark_that_runs_off_is_blocked_at_its_line(team: Team) -> None:
    team.change("marks.yaml", GOOD_MARK, BAD_MARK)
    team.report()
    blocked = team.commit()
    assert (
        "engines/dunlin/marks.yaml:21:42: error: cylinder 1 intake: distance from the mark to the valve tip edge"
        in blocked
    )
    assert "[mark-on-tip " in blocked


def test_the_same_mark_while_measuring_is_committed_and_reported_as_not_yet(team: Team) -> None:
    team.change("marks.yaml", GOOD_MARK, BAD_MARK)
    team.change("build.yaml", "stage: ordering", "stage: measuring")
    team.report()
    assert team.commit() == ""
    result = team.run(sys.executable, "-m", "buildcheck", "check", "engines").stdout
    assert "note: cylinder 1 intake: distance from the mark to the valve tip edge" in result


def test_a_preload_outside_is_blocked(team: Team) -> None:
    team.change("rockers.yaml", "adjuster_turns: 0.5 ", "adjuster_turns: 1.5 ")
    team.report()
    assert "[preload-in-range" in team.commit()


def test_deleting_a_file_is_blocked(team: Team) -> None:
    (team.build / "heads.yaml").unlink()
    team.report()
    assert "heads.yaml does not exist yet" in team.commit()


def test_renaming_a_file_away_is_blocked(team: Team) -> None:
    team.run("git", "mv", "engines/dunlin/marks.yaml", "engines/dunlin/old-marks.yaml")
    team.report()
    assert "marks.yaml does not exist yet" in team.commit()


def test_deleting_the_file_that_makes_it_a_build_is_blocked(team: Team) -> None:
    team.run("git", "rm", "-q", "engines/dunlin/build.yaml")
    assert "this commit removes from git: restore it, or add an entry with its reason to 'ignore'" in team.commit()


def test_an_untracked_file_does_not_count(team: Team) -> None:
    team.run("git", "rm", "-q", "--cached", "engines/dunlin/clearances.yaml")
    assert "engines/dunlin/clearances.yaml:1:1: error: is not in the commit" in team.commit()


def test_a_stale_report_is_blocked(team: Team) -> None:
    team.change("build.yaml", "name: Dunlin", "name: The Dunlin")
    assert "REPORT.md:1:1: error: is stale: its inputs changed since it was written" in team.commit()


def test_a_report_edited_by_hand_is_blocked(team: Team) -> None:
    team.change("REPORT.md", "Ready to order", "Ready to run")
    assert "was edited by hand" in team.commit()
