"""What git tracks: the files that are, or will be, in the commit."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence, Set
from contextlib import contextmanager
from functools import cached_property
from pathlib import Path

from buildcheck.repo.file_tree import joined
from buildcheck.repo.folder_list import by_folder
from buildcheck.repo.git import git, git_meanwhile
from buildcheck.repo.git_diff import Changed

_LINK, _SUBMODULE = "120000", "160000"
_FILE = "100"
"""How the mode of a file begins."""
EMPTY_BLOBS = (
    "e69de29bb2d1d6434b8b29ae775ad8c2e48c5391",
    "473a0f4c3be8a93681a267e3b1e9a7dcda1185436fe141f7749120a303721813",
)
"""Git's names for an empty file, by SHA-1 and by SHA-256: what ``git add --intent-to-add`` puts into the index."""
_LIST = ("ls-files", "-z", "--cached", "--stage", "-v")
_STAGED, _COMMITTED = "H ", ""
"""What git writes before the mode of a file that it looks at: ``H 100644 BLOB 0`` or ``100644 blob BLOB``."""


class Tracked:
    """The files that git tracks, asked by their resolved paths, or by ``names`` from the repository's root.

    ``entries`` are what git lists for each name; ``tag`` is what it writes there before the mode of a usual file.
    ``only_usual`` says that there is no other, ``may_have_empty`` is false if none of them is an empty file.
    """

    def __init__(
        self,
        root: Path,
        entries: Mapping[str, str],
        tag: str = _STAGED,
        only_usual: bool = False,
        may_have_empty: bool = True,
    ) -> None:
        self._may_have_empty = may_have_empty
        self._home = f"{root}{os.sep}"
        self._root = root
        self._entries = entries
        self._unusual = {} if only_usual else _unusual(entries, tag + _FILE)
        self._mode = slice(len(tag), len(tag) + 6)
        self._folders: dict[str, frozenset[str]] = {}

    @property
    def names(self) -> Set[str]:
        """All of them, from the root."""
        return self._entries.keys()

    def __contains__(self, path: object) -> bool:
        return self.name_of(str(path)) in self.names

    def name_of(self, path: str) -> str:
        """The name, from the root, of a file with this resolved path; empty if it lies elsewhere."""
        return path.removeprefix(self._home).replace(os.sep, "/") if path.startswith(self._home) else ""

    @property
    def are_plain_files(self) -> bool:
        """Whether git looks at all of them on the disk and none is a link or a repository of its own."""
        return not self._unusual

    @cached_property
    def unseen(self) -> Mapping[str, str]:
        """Those that git is set not to look at on the disk, each with the name of its staged blob."""
        unseen = {name: about for name, about in self._unusual.items() if about[0] == "S" or about[0].islower()}
        return {name: _blob(about) for name, about in unseen.items()}

    def folders_with(self, file: str) -> frozenset[str]:
        """Folders, from the root, in which a file of this name is tracked."""
        if file not in self._folders:
            self._folders[file] = frozenset(folder for folder, files in self.files_in.items() if file in files)
        return self._folders[file]

    @cached_property
    def files_in(self) -> Mapping[str, Sequence[str]]:
        """The names of the files and links in each folder, itself named from the root."""
        submodules = set(self.submodules())
        return by_folder(self.names if not submodules else [name for name in self.names if name not in submodules])

    def yaml_in(self, folder: str) -> Sequence[str]:
        """The names of the YAML files, and of links called so, in a folder."""
        return [name for name in self.files_in.get(folder, ()) if name.endswith(".yaml")]

    def yaml_under(self, home: str) -> Iterator[str]:
        """The same at or under a folder, from the root."""
        for folder in self.files_in:
            if home == "." or folder == home or folder.startswith(f"{home}/"):
                yield from (joined(folder, name) for name in self.yaml_in(folder))

    def blob(self, name: str) -> str:
        """Git's name for what a file holds; empty if no such file is tracked."""
        about = self._entries.get(name, "")
        return _blob(about) if about[self._mode].startswith(_FILE) else ""

    @property
    def has_empty_yaml(self) -> bool:
        """Whether an empty YAML file is staged, as ``git add --intent-to-add`` does: HEAD may not have such a file."""
        return self._may_have_empty and any(
            self.blob(name) in EMPTY_BLOBS for name in self.names if name.endswith(".yaml")
        )

    def before(self, changes: Iterable[Changed]) -> Tracked:
        """The files of the commit that these changes were made to, which are all that differs: files, no links."""
        entries = dict(self._entries)
        for one in changes:
            if one.is_added:
                entries.pop(one.name, None)
            else:
                entries[one.name] = f"{_STAGED}{one.modes[0]} {one.committed} 0"
        files = Tracked(self._root, entries, only_usual=self.are_plain_files)
        if entries.keys() == self.names:
            files.files_in = self.files_in
        return files

    def yaml_links(self) -> dict[str, str]:
        """The same for each link with such a name: where it leads."""
        return {name: _blob(self._entries[name]) for name in self.links() if name.endswith(".yaml")}

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


def _unusual(entries: Mapping[str, str], usual: str) -> dict[str, str]:
    """The entries that do not begin as those of a usual file."""
    return {name: about for name, about in entries.items() if not about.startswith(usual)}


def _blob(about: str) -> str:
    """Git's name for a content: the third word of what git lists."""
    return about.split(maxsplit=3)[2]


def tracked_files(root: Path, commit: str = "") -> Tracked:
    """All files that git tracks, or that a commit holds; UsageError if git fails."""
    return _committed(root, commit) if commit else _staged(root, git(root, *_LIST))


@contextmanager
def tracked_files_meanwhile(root: Path) -> Iterator[Callable[[], Tracked]]:
    """All files that git tracks, listed while other things are done; UsageError if git fails."""
    with git_meanwhile(root, *_LIST) as answer:
        yield lambda: _staged(root, answer().output)


def _committed(root: Path, commit: str) -> Tracked:
    listed = os.fsdecode(git(root, "ls-tree", "-r", "-z", "--full-tree", commit)).split("\0")
    entries = {name: about for about, tab, name in (entry.partition("\t") for entry in listed) if tab}
    return Tracked(root.resolve(), entries, _COMMITTED)


def _staged(root: Path, output: bytes) -> Tracked:
    """What git lists in the index: always so many characters before the name."""
    *listed, _ = os.fsdecode(output).split("\0")
    width = listed[0].index("\t") if listed else 0
    usual = (_STAGED + _FILE).encode()
    return Tracked(
        root.resolve(),
        {entry[width + 1 :]: entry for entry in listed},
        only_usual=output.startswith(usual) + output.count(b"\0" + usual) == len(listed),
        may_have_empty=any(blob.encode() in output for blob in EMPTY_BLOBS),
    )
