"""Which files differ between two states that git knows: the staged changes and HEAD, or two commits."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import AbstractContextManager, contextmanager
from pathlib import Path
from typing import NamedTuple

from buildcheck.record import Record
from buildcheck.repo.git import Answer, git, git_meanwhile

_STATUS = (
    "status", "--porcelain=v2", "-z", "--untracked-files=all", "--ignored=matching",
    "--ignore-submodules=dirty", "--no-renames",
)  # fmt: skip
_STAGED = (
    "diff-index", "--cached", "--raw", "-z", "--relative", "--ignore-submodules=dirty", "--no-renames", "HEAD", "--",
)  # fmt: skip
_NONE = "000000"
_FILES = (_NONE, "100644", "100755")
"""Modes of nothing and of files; any other is a link or a repository of its own."""
_NO_COMMIT = 128
"""Git's exit code if there is no HEAD."""
_AT_PUSH = ("PRE_COMMIT_FROM_REF", "PRE_COMMIT_REMOTE_NAME")
"""Where pre-commit sets one of these, commits are looked at that are there already."""


class GitDifference(Record):
    """Files that differ, from the top; folders that git does not look into end with a slash.

    ``came_or_went`` are those that only one state has; ``files_only`` is false where links or submodules differ.
    """

    names: frozenset[str]
    added_or_removed: frozenset[str]
    files_only: bool = True

    def __or__(self, other: GitDifference) -> GitDifference:
        """What differs here or there."""
        files_only = self.files_only and other.files_only
        return GitDifference(self.names | other.names, self.added_or_removed | other.added_or_removed, files_only)


class Changed(NamedTuple):
    """A file that is not the same in HEAD, as staged and on the disk, by its path from the top.

    ``modes`` are those of the states; ``blob`` and ``committed`` are git's names for what is staged and what HEAD
    holds, empty for a file that git does not track and in a conflict; ``on_disk`` is how the file on the disk differs
    from what is staged, a full stop if it does not.
    """

    name: str
    staged: bool
    modes: tuple[str, ...]
    on_disk: str = "."
    blob: str = ""
    committed: str = ""

    @property
    def is_tracked(self) -> bool:
        """Whether HEAD or what is staged holds the file."""
        return any(mode != _NONE for mode in self.modes)

    @property
    def is_conflict(self) -> bool:
        """Whether the file is staged in several versions, or in none."""
        return self.is_tracked and not self.committed

    @property
    def is_added(self) -> bool:
        """Whether HEAD does not have the file."""
        return self.modes[0] == _NONE

    @property
    def is_removed(self) -> bool:
        """Whether the file is not staged."""
        return self.modes[1] == _NONE

    @property
    def is_file(self) -> bool:
        """Whether HEAD and what is staged hold it as a file in one known version, or not at all."""
        return bool(self.committed) and all(mode in _FILES for mode in self.modes[:2])


def staged_changes(root: Path, changes: Sequence[Changed]) -> GitDifference | None:
    """How files differ from HEAD; None where nothing is staged: then no commit is being prepared."""
    if any(os.environ.get(name) for name in _AT_PUSH) or not (root / ".git").exists():
        return None
    found = [entry for entry in changes if not entry.name.endswith("/")]
    return _difference(root, found) if any(entry.staged for entry in found) else None


def uncommitted(top: Path, changes: Iterable[Changed]) -> GitDifference:
    """How the working tree differs from HEAD, with files that git does not track or ignores."""
    return _difference(top, list(changes))


def possible(top: Path, names: Iterable[str]) -> GitDifference:
    """Files that may differ from what git has of them, in one way or another."""
    return _difference(top, [Changed(name, False, _FILES[:1]) for name in names])


def between(top: Path, base: str, head: str) -> GitDifference:
    """How two commits differ."""
    if base == head:
        return GitDifference(frozenset(), frozenset())
    return _difference(top, list(_listed(git(top, "diff-tree", "-r", "-z", "--raw", "--no-renames", base, head))))


@contextmanager
def staged_files(root: Path) -> Iterator[Callable[[], tuple[Changed, ...]]]:
    """Files that are staged to differ from HEAD, while other things are done; none before the first commit.

    The disk is not looked at.
    """
    with git_meanwhile(root, *_STAGED, fine=(0, _NO_COMMIT)) as answer:
        yield lambda: tuple(_listed(answer().output))


def _listed(output: bytes) -> Iterator[Changed]:
    """The files of git's raw list of differences."""
    fields = os.fsdecode(output).split("\0")
    for about, name in zip(fields[:-1:2], fields[1::2], strict=True):
        *modes, committed, blob, _ = about[1:].split()
        yield Changed(name, True, tuple(modes), blob=blob, committed=committed)


def _difference(top: Path, entries: list[Changed]) -> GitDifference:
    gone = frozenset(entry.name for entry in entries if _NONE in entry.modes)
    links = [entry for entry in entries if not _is_file(top, entry)]
    return GitDifference(frozenset(entry.name for entry in entries), gone, not links)


def _is_file(top: Path, entry: Changed) -> bool:
    return all(mode in _FILES for mode in entry.modes) and not (top / entry.name).is_symlink()


def changed_files(top: Path) -> Iterator[Changed]:
    """All files that differ between HEAD, what is staged and the disk; those that git does not track or ignores too."""
    return listed_changes(git(top, *_STATUS))


def changed_files_meanwhile(top: Path) -> AbstractContextManager[Callable[[], Answer]]:
    """The same while other things are done: what ``listed_changes`` reads."""
    return git_meanwhile(top, *_STATUS)


def listed_changes(output: bytes) -> Iterator[Changed]:
    """The files of git's status."""
    for line in os.fsdecode(output).split("\0"):
        kind, _, rest = line.partition(" ")
        if kind == "1":
            states, _, *modes, committed, blob, name = rest.split(" ", 7)
            yield Changed(name, states[0] != ".", tuple(modes), states[1], blob, committed)
        elif kind == "u":
            _, _, *modes = rest.split(" ", 9)
            yield Changed(modes.pop(), True, tuple(modes[:4]))
        elif kind == "?" or (kind == "!" and rest.lower().endswith((".yaml", ".yml", "/"))):
            yield Changed(rest, False, (_NONE,))
