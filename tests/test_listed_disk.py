"""The folders that git lists are those on the disk, whatever lies there."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from history import commit, git

from buildcheck.repo.file_tree import DISK, Tree
from buildcheck.repo.listed_disk import ListedDisk
from buildcheck.repo.working_tree import WorkingTree, working_tree

FILES = ("top.yaml", "a/build.yaml", "a/cam.yaml", "a/REPORT.md", "a/b/build.yaml", "c/build.yaml", "ü d/build.yaml")


def write(top: Path, *names: str) -> None:
    for name in names:
        (top / name).parent.mkdir(parents=True, exist_ok=True)
        (top / name).write_text(f"name: {name}\n", encoding="utf-8")


@pytest.fixture
def top(tmp_path: Path) -> Path:
    top = tmp_path.resolve() / "top"
    top.mkdir()
    git(top, "init", "-q", "-b", "main")
    write(top, *FILES)
    commit(top, "first")
    return top


def removed(top: Path) -> None:
    (top / "a/build.yaml").unlink()
    git(top, "rm", "-rq", "c")
    git(top, "rm", "-q", "--cached", "top.yaml")


def new(top: Path) -> None:
    write(top, "new/build.yaml", "a/Build.yml", "e/f/cam.yaml", "staged/build.yaml", "announced/build.yaml")
    git(top, "add", "staged")
    git(top, "add", "--intent-to-add", "announced")


def ignored(top: Path) -> None:
    write(top, "own/build.yaml", "own/x/cam.yaml", "a/mine.yaml", "a/Mine.YAML", "c/kept/build.yaml")
    (top / ".gitignore").write_text("own/\nmine*\nMine*\nkept\n", encoding="utf-8")
    git(top, "add", ".gitignore")
    git(top, "add", "--force", "own/x")


def other_repositories(top: Path) -> None:
    for name in ("nested", "module"):
        write(top, f"{name}/build.yaml", f"{name}/deeper/cam.yaml")
        git(top / name, "init", "-q")
        commit(top / name, "inside")
    write(top, "alone/module/build.yaml")
    git(top / "alone/module", "init", "-q")
    commit(top / "alone/module", "inside")
    git(top, "-c", "advice.addEmbeddedRepo=false", "add", "module", "alone/module")
    shutil.rmtree(top / "alone")


def links(top: Path) -> None:
    (top / "shelf").symlink_to("a")
    (top / "c/link.yaml").symlink_to("build.yaml")
    (top / "a/b/build.yaml").rename(top / "elsewhere")
    (top / "a/b").rmdir()
    (top / "a/b").symlink_to("../c")


def hidden(top: Path) -> None:
    write(top, ".hidden/build.yaml", "a/node_modules/build.yaml", "a/.x/build.yaml", ".own.yaml")


def passed_over(top: Path) -> None:
    git(top, "update-index", "--skip-worktree", "a/build.yaml", "a/cam.yaml")
    git(top, "update-index", "--assume-unchanged", "c/build.yaml")
    (top / "a/build.yaml").unlink()
    (top / "c/build.yaml").unlink()


def swapped(top: Path) -> None:
    (top / "top.yaml").unlink()
    write(top, "top.yaml/build.yaml")
    for path in ("c/build.yaml", "c"):
        (top / path).unlink() if path.endswith("yaml") else (top / path).rmdir()
    write(top, "c")


def differing_in_case(top: Path) -> None:
    git(top, "config", "core.ignoreCase", "true")
    write(top, "A/build.yaml", "A/cam.yaml", "c/Build.yaml")


def conflict(top: Path) -> None:
    git(top, "checkout", "-q", "-b", "other")
    git(top, "rm", "-q", "a/cam.yaml")
    write(top, "c/build.yaml", "both.yaml")
    commit(top, "theirs")
    git(top, "checkout", "-q", "main")
    (top / "a/cam.yaml").write_text("ours: 1\n", encoding="utf-8")
    (top / "both.yaml").write_text("ours: 1\n", encoding="utf-8")
    commit(top, "ours")
    with pytest.raises(Exception, match="non-zero exit status 1"):
        git(top, "merge", "other")
    (top / "both.yaml").unlink()


CASES: tuple[Callable[[Path], None], ...] = (
    conflict, differing_in_case, hidden, ignored, links, new, other_repositories, passed_over, removed, swapped,
)  # fmt: skip


def yaml_in(tree: Tree, top: Path) -> dict[str, list[str]]:
    """What each folder holds that may be a build's, folders too; those without are left out."""
    found = {}
    for below, names in tree.walk(top):
        if files := [name for name in names if name.lower().endswith((".yaml", ".yml"))]:
            found[below] = files
    return found


@pytest.mark.parametrize("change", CASES, ids=lambda change: change.__name__)
def test_git_lists_what_is_on_the_disk(top: Path, change: Callable[[Path], None]) -> None:
    change(top)
    expected = yaml_in(DISK, top)
    with working_tree(top) as working:
        assert yaml_in(ListedDisk(working), top) == expected
        assert working.is_complete


def test_below_the_top_the_disk_is_walked(top: Path) -> None:
    with working_tree(top) as working:
        assert list(ListedDisk(working).walk(top / "a")) == list(DISK.walk(top / "a"))


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="everything can be opened")
def test_a_folder_that_cannot_be_opened_is_no_silent_loss(top: Path) -> None:
    (top / "a").chmod(0)
    try:
        with working_tree(top) as working, pytest.raises(PermissionError):
            list(ListedDisk(working).walk(top))
    finally:
        (top / "a").chmod(0o700)


def test_if_git_warns_the_disk_is_walked(top: Path) -> None:
    with working_tree(top) as working:
        answer = working.answer()._replace(warnings=b"warning: could not open directory")
        warned = WorkingTree(top, "", working.tracked, lambda: answer)
        write(top, "late/build.yaml")
        assert "late" in yaml_in(ListedDisk(warned), top)
