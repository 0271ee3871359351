"""A commit's YAML files, read from git's objects: nothing is checked out."""

from __future__ import annotations

import os
import posixpath
from collections.abc import Iterator, Mapping
from pathlib import Path, PurePosixPath

from buildcheck.git import git
from buildcheck.reading import Document, folder_of, read, unreadable
from buildcheck.tree import is_seen
from buildcheck.yaml_text import LIMIT_BYTES

_LINK = "120000"
_MOST_LINKS = 8


class Commit:
    """The files of one commit, asked by the paths that they have in the working tree."""

    def __init__(self, top: Path, files: Mapping[str, bytes], links: Mapping[str, str]) -> None:
        self.top = top
        self._files = files
        self._links = links
        names = [*files, *links]
        self._folders = {".", *(parent.as_posix() for name in names for parent in PurePosixPath(name).parents)}

    def exists(self, path: Path) -> bool:
        """Whether a YAML file, a link with such a name, or a folder that holds some stands at a path."""
        key = self._key(path)
        return key in self._files or key in self._links or key in self._folders

    def is_dir(self, path: Path) -> bool:
        """Whether a folder with YAML files in it or below stands at a path."""
        return self._key(path) in self._folders

    def is_top(self, folder: Path) -> bool:
        """Whether a folder is the top of the repository."""
        return self._key(folder) == "."

    def read(self, path: Path, file: str) -> Document:
        """Read a file, links followed as long as they stay under the folder that ``file`` is relative to."""
        key, home = self._key(path), self._key(folder_of(path, file))
        for _ in range(_MOST_LINKS):
            if key not in self._links:
                break
            key = posixpath.normpath(posixpath.join(posixpath.dirname(key), self._links[key]))
        else:
            return unreadable(file, "it is a link that leads back to itself")
        if home != "." and not key.startswith(f"{home}/"):
            return unreadable(file, "it is a link to outside its folder; copy the file here")
        data = self._files.get(key)
        return read(data, file) if data is not None else unreadable(file, "it is a link to nothing in this commit")

    def folders(self, start: Path) -> Iterator[Path]:
        """A folder and all below it that hold YAML files, hidden ones left out."""
        for name in sorted(self._folders):
            folder = self.top / name
            if folder.is_relative_to(start) and all(map(is_seen, folder.relative_to(start).parts)):
                yield folder

    def names(self, folder: Path) -> list[str]:
        """Names of the YAML files in a folder, in order."""
        home = self._key(folder)
        return sorted(posixpath.basename(name) for name in self._files if (posixpath.dirname(name) or ".") == home)

    def yaml_files(self, folder: Path) -> list[Path]:
        """All ``*.yaml`` at or under a folder, in order of their paths."""
        home = self._key(folder)
        names = sorted(name for name in [*self._files, *self._links] if home == "." or name.startswith(f"{home}/"))
        return [self.top / name for name in names]

    def _key(self, path: Path) -> str:
        return Path(os.path.relpath(path, self.top)).as_posix()


def read_commit(top: Path, commit: str) -> Commit:
    """All YAML files of a commit, and links with such names. Raises UsageError where git cannot tell."""
    blobs: dict[str, str] = {}
    links: dict[str, str] = {}
    oversized: list[str] = []
    for entry in git(top, "ls-tree", "-r", "-z", "-l", "--full-tree", commit).split(b"\0"):
        about, _, name = os.fsdecode(entry).partition("\t")
        if not name.endswith(".yaml") or about.split()[1] != "blob":
            continue
        mode, _, blob, size = about.split()
        if int(size) > LIMIT_BYTES:
            oversized.append(name)
        else:
            (links if mode == _LINK else blobs)[name] = blob
    known = _contents(top, sorted({*blobs.values(), *links.values()}))
    refused = dict.fromkeys(oversized, bytes(LIMIT_BYTES + 1))  # as the reader would find it: too large
    files = {name: known[blob] for name, blob in blobs.items()}
    return Commit(top, {**files, **refused}, {name: os.fsdecode(known[blob]) for name, blob in links.items()})


def _contents(top: Path, blobs: list[str]) -> dict[str, bytes]:
    answer = git(top, "cat-file", "--batch", given="".join(f"{blob}\n" for blob in blobs).encode())
    found, at = {}, 0
    for blob in blobs:
        end = answer.index(b"\n", at)
        size = int(answer[at:end].split()[-1])
        found[blob] = answer[end + 1 : end + 1 + size]
        at = end + size + 2
    return found
