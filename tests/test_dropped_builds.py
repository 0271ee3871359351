"""A build that git tracks is checked, ignored with a reason, or an error: none goes unchecked in silence."""

from __future__ import annotations

import shutil
import subprocess
from itertools import product
from pathlib import Path

import pytest

from buildcheck.cli.main import main
from buildcheck.repo.file_tree import is_searched, is_seen

SMALL = Path(__file__).parent / "builds" / "inline_four_pad"
Captured = pytest.CaptureFixture[str]
COMMANDS = (["check", "--tracked"], ["check", "--touched"], ["report", "--check", "--touched"])
OTHER = "other/dunlin"


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A repository with one build that 'builds' covers and one, staged, that it does not."""
    for name in ("engines/dunlin", OTHER):
        shutil.copytree(SMALL, tmp_path / name)
    git(tmp_path, "init", "-q")
    monkeypatch.chdir(tmp_path)
    settings(tmp_path, "builds: [engines/*]\n")
    return tmp_path


def git(top: Path, *words: str) -> None:
    subprocess.run(["git", *words], cwd=top, check=True)


def settings(top: Path, text: str) -> None:
    (top / "buildcheck.yaml").write_text(text, encoding="utf-8")
    git(top, "add", "--all")


@pytest.mark.parametrize("words", COMMANDS)
def test_a_build_outside_builds_is_an_error_until_it_is_ignored(shop: Path, words: list[str], capsys: Captured) -> None:
    assert main(words) == 2
    assert f"{OTHER}/build.yaml:1:1: error: is a build that 'builds' in buildcheck.yaml" in capsys.readouterr().out
    settings(shop, "builds: [engines/*]\nignore: [{build: other/*, because: fixtures}]\n")
    assert main(words) == 0
    expected = capsys.readouterr()
    assert OTHER not in expected.out + expected.err


def test_ignore_wins_over_builds(shop: Path, capsys: Captured) -> None:
    settings(shop, "ignore: [{build: other/*, because: fixtures}]\n")
    assert main(["check"]) == 0
    assert OTHER not in capsys.readouterr().out


def test_a_reason_without_words_is_refused(shop: Path) -> None:
    settings(shop, "ignore: [{build: other/*, because: .}]\n")
    assert main(["check", "--tracked"]) == 2


@pytest.mark.parametrize("flag", ["", "--skip-worktree", "--assume-unchanged"])
def test_a_build_missing_on_disk_is_an_error(shop: Path, flag: str, capsys: Captured) -> None:
    settings(shop, "report: REPORT.md\n")
    if flag:
        git(shop, "update-index", flag, f"{OTHER}/build.yaml")
    shutil.rmtree(shop / OTHER)
    for words in COMMANDS:
        assert main(words) == 2
        assert f"{OTHER}/build.yaml:1:1: error: is tracked by git but missing on disk" in capsys.readouterr().out


def test_a_build_moved_into_a_hidden_folder_is_an_error(shop: Path, capsys: Captured) -> None:
    (shop / OTHER).rename(shop / ".hidden")
    settings(shop, "report: REPORT.md\n")
    assert main(["check", "--tracked"]) == 2
    assert ".hidden/build.yaml:1:1: error: is a build in a hidden folder" in capsys.readouterr().out


PARTS = ("a", ".x", "__pycache__", "node_modules", "node_modulesx", "xlost+found", "lost+found", "a.b", "lostxfound")


def test_a_folder_is_searched_if_it_and_all_above_are_seen() -> None:
    paths = ["/".join(parts) for count in (1, 2, 3) for parts in product(PARTS, repeat=count)]
    assert [is_searched(path) for path in paths] == [all(map(is_seen, path.split("/"))) for path in paths]
    assert is_searched(".")


def test_a_build_inside_a_submodule_is_an_error(shop: Path, capsys: Captured) -> None:
    git(shop, "rm", "-rq", "--cached", OTHER)
    git(shop / OTHER, "init", "-q")
    git(shop / OTHER, "add", "--all")
    git(shop / OTHER, "-c", "user.name=somebody", "-c", "user.email=somebody", "commit", "-qm", "a build")
    git(shop, "-c", "advice.addEmbeddedRepo=false", "add", OTHER)
    assert main(["check", "--tracked"]) == 2
    assert f"{OTHER}/build.yaml:1:1: error: is a build inside a submodule" in capsys.readouterr().out


@pytest.mark.parametrize("flag", ["--skip-worktree", "--assume-unchanged"])
def test_a_bad_file_that_git_holds_is_not_concealed_by_a_good_one_on_disk(
    shop: Path, flag: str, capsys: Captured
) -> None:
    marks = shop / OTHER / "marks.yaml"
    good = marks.read_text(encoding="utf-8")
    marks.write_text("trials: none\n", encoding="utf-8")
    settings(shop, "report: REPORT.md\n")
    git(shop, "update-index", flag, f"{OTHER}/marks.yaml")
    marks.write_text(good, encoding="utf-8")
    for words in COMMANDS:
        assert main(words) == 2
        assert (
            f"{OTHER}/marks.yaml:1:1: error: differs from the commit, and git is set to ignore the change"
            in capsys.readouterr().out
        )


@pytest.fixture
def committed(shop: Path) -> Path:
    """The same shop with both builds judged and in a commit."""
    settings(shop, "report: REPORT.md\n")
    commit(shop)
    return shop


def commit(top: Path) -> None:
    git(top, "-c", "user.name=somebody", "-c", "user.email=somebody", "commit", "-qm", "a commit")


@pytest.mark.parametrize("words", [["--cached"], ["--force"]])
def test_a_build_that_a_commit_removes_is_an_error_until_it_is_ignored(
    committed: Path, words: list[str], capsys: Captured
) -> None:
    git(committed, "rm", "-rq", *words, OTHER)
    for command in COMMANDS[1:]:
        assert main(command) == 2
        assert f"{OTHER}/build.yaml:1:1: error: is a build that this commit removes" in capsys.readouterr().out
    (committed / "buildcheck.yaml").write_text("ignore: [{build: other/*, because: sold}]\n", encoding="utf-8")
    git(committed, "add", "buildcheck.yaml")
    assert main(["check", "--touched"]) == 0


def test_a_renamed_build_is_not_removed(committed: Path, capsys: Captured) -> None:
    git(committed, "mv", OTHER, "other/heron")
    assert main(["check", "--touched"]) == 0
    assert "other/heron" in capsys.readouterr().out


def test_a_build_that_the_merged_branch_removed_needs_no_second_entry(committed: Path) -> None:
    git(committed, "checkout", "-qb", "side")
    git(committed, "rm", "-rq", OTHER)
    commit(committed)
    git(committed, "checkout", "-q", "-")
    git(committed, "-c", "user.name=a", "-c", "user.email=a", "merge", "-q", "--no-ff", "--no-commit", "side")
    assert main(["check", "--touched"]) == 0
