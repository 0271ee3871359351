"""What git knows of the files on the disk."""

from __future__ import annotations

from pathlib import Path

from buildcheck.record import Record
from buildcheck.repo.git_diff import Changed, changed_files
from buildcheck.repo.head_commit import Head, staged_head
from buildcheck.repo.tracked_files import Tracked, tracked_files


class WorkingTree(Record):
    """What git tracks, how files differ from that and from HEAD, and HEAD itself, if there is a commit."""

    tracked: Tracked
    changes: tuple[Changed, ...]
    head: Head | None


def working_tree(top: Path) -> WorkingTree:
    """The state of the working tree with this top. Raises UsageError if git fails."""
    tracked, changes = tracked_files(top), tuple(changed_files(top))
    return WorkingTree(tracked, changes, staged_head(top, tracked, changes))
