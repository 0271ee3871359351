"""What git knows of the files on the disk."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager, nullcontext
from functools import cached_property
from pathlib import Path

from buildcheck.record import Record
from buildcheck.repo.git import Answer
from buildcheck.repo.git_diff import Changed, changed_files_meanwhile, listed_changes
from buildcheck.repo.head_commit import Head, staged_head
from buildcheck.repo.tracked_files import Tracked, tracked_files


class WorkingTree(Record):
    """What git tracks, how files differ from that and from HEAD, and HEAD itself, if there is a commit.

    Git compares the files while other things are done: ``answer`` waits for what it found. If ``commit`` is
    empty, git looks for it.
    """

    __slots__ = ("__dict__",)

    top: Path
    commit: str
    tracked: Tracked
    answer: Callable[[], Answer]

    @cached_property
    def _answer(self) -> Answer:
        return self.answer()

    @cached_property
    def changes(self) -> tuple[Changed, ...]:
        """How files differ, with those that git does not track or ignores."""
        return tuple(listed_changes(self._answer.output))

    @property
    def is_complete(self) -> bool:
        """Whether git could look into every folder: it warns of one that it passes over."""
        return not self._answer.warnings

    @cached_property
    def head(self) -> Head | None:
        """The commit that the next one follows."""
        return staged_head(self.top, self.tracked, self.changes, self.commit)


@contextmanager
def working_tree(top: Path, commit: str = "", status: Callable[[], Answer] | None = None) -> Iterator[WorkingTree]:
    """The working tree with this top, at this commit if it is known. Raises UsageError if git fails.

    ``status`` is what ``changed_files_meanwhile`` gives, if that runs already.
    """
    with changed_files_meanwhile(top) if status is None else nullcontext(status) as answer:
        yield WorkingTree(top, commit, tracked_files(top), answer)
