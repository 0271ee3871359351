"""What the next commit would hold, and how it differs from HEAD."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from buildcheck.record import Record
from buildcheck.repo.affected_builds import is_within_builds
from buildcheck.repo.file_tree import Tree
from buildcheck.repo.git_diff import Changed, changed_files, staged_changes, staged_files
from buildcheck.repo.head_commit import HEAD, Head, staged_head
from buildcheck.repo.staged_tree import StagedTree, staged_tree
from buildcheck.repo.tracked_files import EMPTY_BLOBS, Tracked, tracked_files_meanwhile


class StagedState(Record):
    """What git tracks, files that differ from HEAD, the tree to read them from, and HEAD itself, if there is a commit.

    ``changes`` are files that are staged; if these may matter to any build, also those that only differ on the disk.
    """

    tracked: Tracked
    changes: tuple[Changed, ...]
    tree: Tree
    head: Head | None


@contextmanager
def staged_meanwhile(root: Path) -> Iterator[Callable[[], StagedState]]:
    """What is staged in the repository with this root, found while other things are done."""
    with staged_files(root) as staged, tracked_files_meanwhile(root) as tracked:
        yield lambda: _state(root, tracked(), staged())


def _state(root: Path, tracked: Tracked, staged: tuple[Changed, ...]) -> StagedState:
    """The state from what git lists.

    If what is staged is a matter of single builds, git need not look at every file on the disk: a file is compared
    with what is staged when it is read.
    """
    if _concerns_single_builds(root, tracked, staged):
        return StagedState(tracked, staged, StagedTree(root, tracked), staged_head(root, tracked, staged, HEAD))
    changes = tuple(changed_files(root))
    return StagedState(tracked, changes, staged_tree(root, changes), staged_head(root, tracked, changes))


def _concerns_single_builds(root: Path, tracked: Tracked, staged: Sequence[Changed]) -> bool:
    """Whether only builds' own files and texts are staged, in a repository of plain files, and nothing is unclear."""
    may_be_announced = tracked.has_empty_yaml or any(one.blob in EMPTY_BLOBS for one in staged)
    difference = staged_changes(root, staged) if tracked.are_plain_files and not may_be_announced else None
    return difference is not None and is_within_builds(difference, tracked)
