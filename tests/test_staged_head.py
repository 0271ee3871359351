"""HEAD as git's earlier answers show it is HEAD as git lists it."""

from __future__ import annotations

import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

from buildcheck.repo.commit_tree import Commit, read_commit
from buildcheck.repo.git import commit_named
from buildcheck.repo.git_diff import changed_files
from buildcheck.repo.head_commit import head_of, staged_head
from buildcheck.repo.tracked_files import tracked_files

SOMEBODY = ("-c", "user.name=T", "-c", "user.email=t@example.invalid")
FILES = ("a/build.yaml", "a/cam.yaml", "a/b/cam.yaml", "top.yaml", "notes.txt")


def edited(root: Path) -> None:
    (root / "a/cam.yaml").write_text("edited\n")
    git(root, "add", "a/cam.yaml")
    (root / "a/build.yaml").write_text("edited, not staged\n")
    (root / "a/cam.yaml").write_text("edited again\n")
    (root / "new.yaml").write_text("untracked\n")


def executable(root: Path) -> None:
    git(root, "update-index", "--chmod=+x", "top.yaml")


def passed_over(root: Path) -> None:
    git(root, "update-index", "--assume-unchanged", "a/cam.yaml")
    git(root, "update-index", "--skip-worktree", "top.yaml")
    edited(root)


def added(root: Path) -> None:
    (root / "new.yaml").write_text("new\n")
    git(root, "add", "new.yaml")


def added_in_intent(root: Path) -> None:
    (root / "new.yaml").write_text("new\n")
    git(root, "add", "--intent-to-add", "new.yaml")


def announced_and_gone(root: Path) -> None:
    added_in_intent(root)
    (root / "new.yaml").unlink()


def announced_and_passed_over(root: Path) -> None:
    added_in_intent(root)
    git(root, "update-index", "--skip-worktree", "new.yaml")
    (root / "new.yaml").unlink()


def moved(root: Path) -> None:
    git(root, "mv", "a", "c")


def removed(root: Path) -> None:
    git(root, "rm", "-q", "--cached", "a/cam.yaml")


def another_link(root: Path) -> None:
    (root / "link.yaml").unlink()
    (root / "link.yaml").symlink_to("a/build.yaml")
    git(root, "add", "link.yaml")


def link_became_file(root: Path) -> None:
    (root / "link.yaml").unlink()
    (root / "link.yaml").write_text("a file\n")
    git(root, "add", "link.yaml")


def in_conflict(root: Path) -> None:
    git(root, "checkout", "-q", "-b", "other")
    commit(root, "theirs")
    git(root, "checkout", "-q", "-")
    commit(root, "ours")
    subprocess.run(["git", *SOMEBODY, "merge", "other"], cwd=root, check=False, capture_output=True)


def commit(root: Path, text: str) -> None:
    (root / "top.yaml").write_text(f"{text}\n")
    git(root, "commit", "-qam", text)


def git(root: Path, *words: str) -> None:
    subprocess.run(["git", *SOMEBODY, *words], cwd=root, check=True)


@pytest.fixture
def root(tmp_path: Path) -> Path:
    root = tmp_path.resolve()
    git(root, "init", "-q")
    for number, name in enumerate(FILES):
        (root / name).parent.mkdir(parents=True, exist_ok=True)
        (root / name).write_text(f"number: {number}\n")
    (root / "link.yaml").symlink_to("top.yaml")
    git(root, "add", "--all")
    git(root, "commit", "-qm", "first")
    return root


def shown(tree: Commit) -> list[object]:
    files = [(path, tree.read(path, path.name)) for path in tree.yaml_files(tree.top)]
    read = [(path, one.root and one.root.text, one.problems) for path, one in files]
    return [tree.commit, list(tree.walk(tree.top)), list(tree.targets()), read]


EDITS = (
    edited, executable, passed_over, added, added_in_intent, announced_and_gone, announced_and_passed_over, moved,
    removed, another_link, link_became_file, in_conflict,
)  # fmt: skip


@pytest.mark.parametrize("edit", EDITS, ids=lambda edit: edit.__name__)
def test_head_is_what_git_lists(root: Path, edit: Callable[[Path], None]) -> None:
    edit(root)
    quick = staged_head(root, tracked_files(root), list(changed_files(root)))
    asked = head_of(root)
    assert quick is not None
    assert asked is not None
    assert (quick.top, quick.commit, quick.staged, quick.moved) == (asked.top, asked.commit, asked.staged, asked.moved)
    assert shown(quick.tree) == shown(read_commit(root, commit_named(root, "HEAD")))
    assert len(shown(quick.tree)[3]) == 5
    assert (quick.index is not None) == (edit in (edited, executable, passed_over, added, removed))


def test_before_the_first_commit_there_is_none(tmp_path: Path) -> None:
    git(tmp_path, "init", "-q")
    added(tmp_path)
    root = tmp_path.resolve()
    assert staged_head(root, tracked_files(root), list(changed_files(root))) is None
