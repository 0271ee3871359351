"""What the next commit would hold, and how it differs from HEAD."""

from __future__ import annotations

from pathlib import Path

from buildcheck.record import Record
from buildcheck.repo.affected_builds import is_within_builds
from buildcheck.repo.file_tree import Tree
from buildcheck.repo.git_diff import Changed, changed_files, staged_changes, staged_files
from buildcheck.repo.head_commit import HEAD, Head, staged_head
from buildcheck.repo.staged_tree import StagedTree, staged_tree
from buildcheck.repo.tracked_files import EMPTY_BLOBS, Tracked


class StagedState(Record):
    """Files that differ from HEAD, the tree to read them from, and HEAD itself, if there is a commit.

    ``changes`` are those that are staged; if these may matter to any build, also those that only differ on the disk.
    """

    changes: tuple[Changed, ...]
    tree: Tree
    head: Head | None


def staged_state(root: Path, tracked: Tracked) -> StagedState:
    """What is staged in the repository with this root.

    If that is a matter of single builds, git need not look at every file on the disk: a file is compared with what
    is staged when it is read.
    """
    staged = staged_files(root) if tracked.are_plain_files else ()
    difference = staged_changes(root, staged)
    is_announced = any(one.blob in EMPTY_BLOBS for one in staged)
    if difference is not None and not is_announced and is_within_builds(difference, tracked):
        return StagedState(staged, StagedTree(root, tracked), staged_head(root, tracked, staged, HEAD))
    changes = tuple(changed_files(root))
    return StagedState(changes, staged_tree(root, changes), staged_head(root, tracked, changes))
