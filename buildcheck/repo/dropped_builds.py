"""Builds that git tracks but that a check would pass over: each is an error, so that none goes unchecked in silence."""

from __future__ import annotations

import os
from collections.abc import Container, Iterator, Sequence
from pathlib import Path, PurePath

from buildcheck.core.problem import Place, Problem
from buildcheck.repo.file_tree import BUILD_FILE, CONFIG, DISK, is_searched, joined
from buildcheck.repo.git import commit_named, git
from buildcheck.repo.head_commit import Head
from buildcheck.repo.repository import Repository
from buildcheck.repo.tracked_files import Tracked

_ADVICE = f"or add an entry with its reason to 'ignore' in {CONFIG}"


def dropped_builds(
    paths: Sequence[Path], repository: Repository, tracked: Tracked, only: Container[str] | None = None
) -> Iterator[Problem]:
    """An error for each tracked build at or under the paths that is not checked and that 'ignore' does not cover.

    With ``only``, a build in another folder may be missing on the disk: the next commit leaves it as it is.
    """
    starts = [PurePath(os.path.relpath(path.resolve(), repository.root)) for path in paths]
    builds = tracked.folders_with(BUILD_FILE)
    found = {folder: reason for folder in builds if (reason := _misplaced(folder, repository))}
    needed = [folder for folder in builds if folder not in found and (only is None or folder in only)]
    found |= {folder: _MISSING for folder in needed if _is_missing(folder, repository.root)}
    found |= dict.fromkeys(_in_submodules(repository.root, tracked), _IN_SUBMODULE)
    for folder, reason in sorted(found.items()):
        file = joined(folder, BUILD_FILE)
        below = any(PurePath(file).is_relative_to(start) for start in starts)
        if below and not repository.is_ignored(folder):
            yield Problem(Place(file), "", reason)


def removed_builds(repository: Repository, tracked: Tracked, head: Head) -> Iterator[Problem]:
    """An error for each build that the next commit removes from git, unless it was renamed or 'ignore' covers it.

    A build that the other branch of a merge does not have was removed there.
    """
    renamed = set(head.moved.values())
    gone = (name for name in head.staged if PurePath(name).name == BUILD_FILE and name not in tracked.names)
    for file in sorted(name for name in gone if name not in renamed):
        folder = PurePath(file).parent.as_posix()
        if not repository.is_ignored(folder) and not _is_gone_in_merged_branch(head.top, file):
            yield Problem(Place(file), "", _REMOVED)


def _is_gone_in_merged_branch(top: Path, file: str) -> bool:
    """Whether a merge is under way with a commit that does not hold the file."""
    other = commit_named(top, "MERGE_HEAD")
    return bool(other) and not git(top, "ls-tree", "--name-only", other, "--", file)


def concealed_changes(root: Path, tracked: Tracked) -> Iterator[Problem]:
    """An error for each YAML file that git is set not to look at and that differs on disk from what is staged."""
    names = sorted(name for name in tracked.unseen if name.endswith(".yaml") and (root / name).is_file())
    blobs = git(root, "hash-object", "--", *names).decode().split() if names else []
    for name, blob in zip(names, blobs, strict=True):
        if blob != tracked.unseen[name]:
            yield Problem(Place(name), "", _CONCEALED)


_REMOVED = f"is a build that this commit removes from git: restore it, {_ADVICE}"
_CONCEALED = (
    "differs from the commit, and git is set to ignore the change: run 'git update-index "
    "--no-assume-unchanged --no-skip-worktree' on it, then git add it or restore it"
)
_IN_SUBMODULE = f"is a build inside a submodule and is not checked: check it in its own repository, {_ADVICE}"
_MISSING = "is tracked by git but missing on disk, so the build is not checked: restore it, or git rm it"


def _is_missing(folder: str, root: Path) -> bool:
    return not os.path.lexists(os.path.join(root, folder, BUILD_FILE))


def _misplaced(folder: str, repository: Repository) -> str:
    """Why a tracked build is not searched for where it is; empty if it is."""
    if not repository.matches_builds(folder):
        return f"is a build that 'builds' in {CONFIG} does not cover, so it is not checked: add its folder, {_ADVICE}"
    if not is_searched(folder):
        return f"is a build in a hidden folder, which is not searched, so it is not checked: move it, {_ADVICE}"
    return ""


def _in_submodules(root: Path, tracked: Tracked) -> Iterator[str]:
    """Folders with a build.yaml inside submodules, as far as these are checked out."""
    for submodule in tracked.submodules():
        if DISK.is_dir(root / submodule):
            for below, names in DISK.walk(root / submodule):
                if BUILD_FILE in names:
                    yield joined(submodule, below)
