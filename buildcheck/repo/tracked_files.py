"""What git tracks: the files that are, or will be, in the commit."""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping, Set
from functools import cached_property
from pathlib import Path

from buildcheck.repo.git import git

_LINK, _SUBMODULE = "120000", "160000"
_FILE = "100"
"""How the mode of a file begins."""
_EMPTY = (
    "e69de29bb2d1d6434b8b29ae775ad8c2e48c5391",
    "473a0f4c3be8a93681a267e3b1e9a7dcda1185436fe141f7749120a303721813",
)
"""Git's names for an empty file, by SHA-1 and by SHA-256."""
_STAGED, _COMMITTED = "H ", ""
"""What git writes before the mode of a file that it looks at: ``H 100644 BLOB 0`` or ``100644 blob BLOB``."""


class Tracked:
    """The files that git tracks, asked by their resolved paths, or by ``names`` from the repository's root.

    ``entries`` are what git lists for each name; ``tag`` is what it writes there before the mode of a usual file.
    """

    def __init__(self, root: Path, entries: Mapping[str, str], tag: str = _STAGED) -> None:
        self._home = f"{root}{os.sep}"
        self._root = root
        self._entries = entries
        self._unusual = {name: about for name, about in entries.items() if not about.startswith(tag + _FILE)}
        self._mode = slice(len(tag), len(tag) + 6)
        self._blob = slice(9, -2) if tag else slice(12, None)
        self._folders: dict[str, frozenset[str]] = {}

    @property
    def names(self) -> Set[str]:
        """All of them, from the root."""
        return self._entries.keys()

    def __contains__(self, path: object) -> bool:
        text = str(path)
        return text.startswith(self._home) and Path(text.removeprefix(self._home)).as_posix() in self.names

    @cached_property
    def unseen(self) -> Mapping[str, str]:
        """Those that git is set not to look at on the disk, each with the name of its staged blob."""
        unseen = {name: about for name, about in self._unusual.items() if about[0] == "S" or about[0].islower()}
        return {name: about[self._blob] for name, about in unseen.items()}

    def folders_with(self, file: str) -> frozenset[str]:
        """Folders, from the root, in which a file of this name is tracked."""
        if file not in self._folders:
            ends = f"/{file}"
            below = {name.removesuffix(ends) for name in self.names if name.endswith(ends)}
            self._folders[file] = frozenset({*below, "."} if file in self.names else below)
        return self._folders[file]

    @cached_property
    def yaml_blobs(self) -> Mapping[str, str]:
        """Git's name for what each YAML file holds."""
        kind, blob = slice(self._mode.start, self._mode.start + 3), self._blob
        yaml = ((name, about) for name, about in self._entries.items() if name.endswith(".yaml"))
        return {name: about[blob] for name, about in yaml if about[kind] == _FILE}

    @property
    def has_empty_yaml(self) -> bool:
        """Whether an empty YAML file is staged, as ``git add --intent-to-add`` does: HEAD may not have such a file."""
        return any(blob in _EMPTY for blob in self.yaml_blobs.values())

    def yaml_links(self) -> dict[str, str]:
        """The same for each link with such a name: where it leads."""
        return {name: self._entries[name][self._blob] for name in self.links() if name.endswith(".yaml")}

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
        return (name for name, about in self._unusual.items() if about[self._mode] == mode)


def tracked_files(root: Path, commit: str = "") -> Tracked:
    """All files that git tracks, or that a commit holds; UsageError if git fails."""
    if commit:
        return Tracked(root.resolve(), _listed(root, "ls-tree", "-r", "-z", "--full-tree", commit), _COMMITTED)
    return Tracked(root.resolve(), _listed(root, "ls-files", "-z", "--cached", "--stage", "-v"))


def _listed(root: Path, *words: str) -> dict[str, str]:
    """What git lists for each name."""
    entries = (entry.partition("\t") for entry in os.fsdecode(git(root, *words)).split("\0"))
    return {name: about for about, tab, name in entries if tab}
