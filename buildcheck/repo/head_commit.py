"""The commit that the next one follows: where it held a build, and which files are staged to differ from it."""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping, Sequence
from functools import cache, cached_property
from pathlib import Path, PurePosixPath

from buildcheck.core.files import real
from buildcheck.record import Record
from buildcheck.repo.commit_tree import Commit, commit_of, read_commit
from buildcheck.repo.file_tree import joined
from buildcheck.repo.git import git, top_and_head, top_of
from buildcheck.repo.git_diff import Changed
from buildcheck.repo.tracked_files import Tracked

HEAD = "HEAD"
"""Git's name for the commit, if nobody needs to know which one it is."""


class Head(Record):
    """HEAD of a repository; ``staged`` files differ from it, ``moved`` ones by their new name had another one.

    With ``index``, what git tracks, the files of HEAD are these but for the ``changes``.
    """

    __slots__ = ("__dict__",)

    top: Path
    commit: str
    staged: frozenset[str]
    moved: Mapping[str, str]
    index: Tracked | None = None
    changes: tuple[Changed, ...] = ()

    @cached_property
    def tree(self) -> Commit:
        """The files of HEAD."""
        if self.index is None:
            return _tree(self.top, self.commit)
        return commit_of(self.top, self.commit, self.index.before(self.changes))

    def differs(self, folder: Path, parts: Iterable[Path]) -> bool:
        """Whether a build's own files or its parts are staged to differ."""
        home = self._name(folder)
        own_files = (name for name in self.staged if home == "." or name.startswith(f"{home}/"))
        return any(own_files) or any(self._name(one) in self.staged for one in parts)

    def folder(self, folder: Path) -> Path:
        """Where HEAD holds a build, by the file that its readings were moved from."""
        marks = joined(self._name(folder), "marks.yaml")
        old = self.moved.get(marks, marks)
        return self.top / PurePosixPath(old).parent

    def _name(self, path: Path) -> str:
        return Path(os.path.relpath(real(path), self.top)).as_posix()


def staged_head(root: Path, index: Tracked, changes: Iterable[Changed], commit: str = "") -> Head | None:
    """HEAD with what is staged to differ, from what git has answered before; None without a commit.

    Git looks for the commit at this root unless it is given, and for all of HEAD if that does not follow.
    """
    tracked = tuple(one for one in changes if one.is_tracked)
    if index.has_empty_yaml or not _follows(tracked):
        return head_of(root)
    found = (root, commit) if commit else top_and_head(root)
    if found is None or found[0] != root:
        return head_of(root)
    return Head(*found, frozenset(one.name for one in tracked if one.staged), {}, index, tracked)


def _follows(changes: Sequence[Changed]) -> bool:
    """Whether HEAD follows from what git tracks and how that differs: only files do, and none was renamed.

    What is added may be what is removed by a new name: git finds out.
    """
    may_be_renamed = any(one.is_added for one in changes) and any(one.is_removed for one in changes)
    return all(one.is_file for one in changes) and not may_be_renamed


def head_of(root: Path) -> Head | None:
    """HEAD with what is staged to differ; None without a commit."""
    found = top_and_head(root)
    if found is None:
        return None
    top, commit = found
    words = os.fsdecode(git(top, "diff-index", "--cached", "-M", "-z", "--name-status", commit)).split("\0")
    staged, moved = set(), {}
    while len(words) > 1:
        status, *words = words
        if status[:1] in "RC":
            old, new, *words = words
            moved[new] = old
            staged |= {old, new}
        else:
            name, *words = words
            staged.add(name)
    return Head(top, commit, frozenset(staged), moved)


def head_at(root: Path, commit: str) -> Head:
    """A commit by itself, with nothing staged."""
    return Head(top_of(root), commit, frozenset(), {})


@cache
def _tree(top: Path, commit: str) -> Commit:
    return read_commit(top, commit)
