"""What git tracks: the files that are, or will be, in the commit."""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping, Set
from pathlib import Path

from buildcheck.repo.git import git

_LINK, _SUBMODULE = "120000", "160000"


class Tracked:
    """The files that git tracks, asked by their resolved paths, or by ``names`` from the repository's root.

    ``unseen`` are those that git is set not to look at on the disk, each with the name of its staged blob.
    """

    def __init__(self, root: Path, modes: dict[str, str], unseen: Mapping[str, str] | None = None) -> None:
        self.unseen = unseen or {}
        self._home = f"{root}{os.sep}"
        self._root = root
        self._modes = modes

    @property
    def names(self) -> Set[str]:
        """All of them, from the root."""
        return self._modes.keys()

    def __contains__(self, path: object) -> bool:
        text = str(path)
        return text.startswith(self._home) and Path(text.removeprefix(self._home)).as_posix() in self.names

    def folders_with(self, file: str) -> frozenset[str]:
        """Folders, from the root, in which a file of this name is tracked."""
        ends = f"/{file}"
        below = {name.removesuffix(ends) for name in self.names if name.endswith(ends)}
        return frozenset({*below, "."} if file in self.names else below)

    def links(self) -> Iterator[str]:
        """Links, by their own names."""
        return self._of(_LINK)

    def targets(self) -> Iterator[str]:
        """Where tracked links lead, as paths from the root; those that lead out are left out."""
        for name in self.links():
            target = Path(os.path.realpath(self._root / name))
            if target.is_relative_to(self._root):
                yield target.relative_to(self._root).as_posix()

    def submodules(self) -> Iterator[str]:
        """Folders that are repositories of their own."""
        return self._of(_SUBMODULE)

    def _of(self, mode: str) -> Iterator[str]:
        return (name for name, entry_mode in self._modes.items() if entry_mode == mode)


def tracked_files(root: Path, commit: str = "") -> Tracked:
    """All files that git tracks, or that a commit holds; UsageError if git fails."""
    if commit:
        entries = _entries(root, "ls-tree", "-r", "-z", "--full-tree", commit)
        return Tracked(root.resolve(), {name: about[:6] for about, name in entries})
    found = list(_entries(root, "ls-files", "-z", "--cached", "--stage", "-v"))
    unseen = {name: about.split()[2] for about, name in found if about[0] == "S" or about[0].islower()}
    return Tracked(root.resolve(), {name: about[2:8] for about, name in found}, unseen)


def _entries(root: Path, *words: str) -> Iterator[tuple[str, str]]:
    """What git lists for each name, and the name."""
    for entry in os.fsdecode(git(root, *words)).split("\0"):
        about, tab, name = entry.partition("\t")
        if tab:
            yield about, name
