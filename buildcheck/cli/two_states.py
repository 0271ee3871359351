"""Which two states ``buildcheck compare`` compares: two commits, or a commit and the working tree."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable
from contextlib import nullcontext
from importlib import import_module
from pathlib import Path

from buildcheck.core.files import real
from buildcheck.core.usage_error import UsageError
from buildcheck.output.compare.comparison import compare
from buildcheck.output.compare.revision import Revision, revision
from buildcheck.repo.commit_tree import read_commit
from buildcheck.repo.git import Answer, commit_named, top_and_head, top_of
from buildcheck.repo.listed_disk import ListedDisk
from buildcheck.repo.working_tree import WorkingTree, working_tree


def print_comparison(args: argparse.Namespace, here: Path, status: Callable[[], Answer] | None) -> int:
    """Print the comparison; the exit code. ``status`` is git's, if it compares the files already."""
    top, commit = top_and_head(here) or (top_of(here), "")
    head, paths = _head(here, args.rest)
    _refuse_elsewhere(paths, top)
    start = _nearest(paths[0]) if paths else here
    write = import_module(f"buildcheck.output.compare.compare_{args.format}").write
    with nullcontext() if head else working_tree(top, commit, status) as disk:
        after = revision("working tree", start, ListedDisk(disk), disk) if disk else _revision(head, top, start)
        before = _revision(args.base, top, start, disk)
        comparison = compare(before, after, _folders(paths, before, after))
    sys.stdout.write(write(comparison, args.link_base) if args.link_base else write(comparison))
    return comparison.exit_code or int(args.strict and comparison.needs_review)


def _head(here: Path, rest: list[str]) -> tuple[str, list[Path]]:
    """The first word behind BASE is HEAD where it names a commit and no file."""
    if rest and commit_named(here, rest[0]):
        if Path(rest[0]).exists():
            raise UsageError(f"{rest[0]} is a revision and a path: write ./{rest[0]} for the path")
        return rest[0], [Path(path) for path in rest[1:]]
    return "", [Path(path) for path in rest]


def _revision(name: str, top: Path, start: Path, disk: WorkingTree | None = None) -> Revision:
    """The state at a commit; HEAD as it is known already, if it is."""
    head = disk.head if disk is not None else None
    commit = head.commit if head is not None and name == "HEAD" else commit_named(top, name)
    if not commit:
        raise UsageError(f"{name} names no commit here")
    return revision(name, start, head.tree if head is not None and commit == head.commit else read_commit(top, commit))


def _nearest(path: Path) -> Path:
    """The path, or where it is gone the nearest folder above it that is there."""
    return next(folder for folder in (path.absolute(), *path.absolute().parents) if folder.is_dir())


def _refuse_elsewhere(paths: list[Path], top: Path) -> None:
    """UsageError for a path in another repository: its builds have no old state in this one."""
    for path in paths:
        folder = real(_nearest(path))
        if not folder.is_relative_to(top) or top_of(folder) != top:
            raise UsageError(f"{path} is not in the repository {top.name}: compare it in its own")


def _folders(paths: list[Path], before: Revision, after: Revision) -> list[str]:
    """The paths as folders of the repository; UsageError where neither state has one."""
    folders = []
    for path in paths:
        folder = Path(os.path.relpath(real(path), after.context.repository.root)).as_posix()
        known = [*before.builds, *after.builds]
        if folder != "." and not any(f"{build}/".startswith(f"{folder}/") for build in known):
            raise UsageError(f"no build at or under {path}, before or after")
        folders.append(folder)
    return folders
