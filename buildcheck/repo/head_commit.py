"""The commit that the next one follows: where it held a build, and which files are staged to differ from it."""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping
from functools import cache
from pathlib import Path, PurePosixPath

from buildcheck.core.files import real
from buildcheck.record import Record
from buildcheck.repo.commit_tree import Commit, read_commit
from buildcheck.repo.file_tree import joined
from buildcheck.repo.git import git, top_and_head, top_of


class Head(Record):
    """HEAD of a repository; ``staged`` files differ from it, ``moved`` ones by their new name had another one."""

    top: Path
    commit: str
    staged: frozenset[str]
    moved: Mapping[str, str]

    @property
    def tree(self) -> Commit:
        """The files of HEAD."""
        return _tree(self.top, self.commit)

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


def commit_of(root: Path, commit: str) -> Head:
    """A commit by itself, with nothing staged."""
    return Head(top_of(root), commit, frozenset(), {})


@cache
def _tree(top: Path, commit: str) -> Commit:
    return read_commit(top, commit)
