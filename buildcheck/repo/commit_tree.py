"""A commit's YAML files, read from git's objects when they are needed: nothing is checked out."""

from __future__ import annotations

import os
import posixpath
from collections.abc import Iterable, Iterator, Mapping
from functools import cached_property
from pathlib import Path

from buildcheck.repo.blobs import blob_contents
from buildcheck.repo.file_tree import joined
from buildcheck.repo.folder_list import Folders, folders_of, walk
from buildcheck.repo.tracked_files import Tracked, tracked_files
from buildcheck.yamlio.documents import Document, folder_of, read, unreadable

_MOST_LINKS = 8


class Commit:
    """The files of one commit, asked by the paths that they have in the working tree.

    ``files`` are all of them, ``links`` what the links with the name of a YAML file lead to.
    """

    def __init__(self, top: Path, commit: str, files: Tracked, links: Mapping[str, str]) -> None:
        self.top = top
        self.commit = commit
        self._files = files
        self._links = links
        self._contents: dict[str, bytes] = {}

    @cached_property
    def _folders(self) -> Folders:
        """What each folder holds, folders included."""
        return folders_of({folder: names for folder in self._files.files_in if (names := self._files.yaml_in(folder))})

    def exists(self, path: Path) -> bool:
        """Whether a YAML file, a link with such a name, or a folder that holds some exists at a path."""
        key = self._key(path)
        return bool(self._blob(key)) or key in self._links or key in self._folders

    def is_dir(self, path: Path) -> bool:
        """Whether a folder with YAML files in it or below exists at a path."""
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
            key = self._target(key)
        else:
            return unreadable(file, "it is a link that leads back to itself")
        if home != "." and not key.startswith(f"{home}/"):
            return unreadable(file, "it is a link to outside its folder; copy the file here")
        if not self._blob(key):
            return unreadable(file, "it is a link to a file that this commit does not have")
        return read(self._content(key), file)

    def walk(self, start: Path) -> Iterator[tuple[str, list[str]]]:
        """A folder, as ``.``, and all below it that hold YAML files, hidden ones left out, with the names of those."""
        return walk(self._folders, self._key(start))

    def fetch(self, folders: Iterable[Path]) -> None:
        """Get all files of some folders by one call of git."""
        keys = {self._key(folder): None for folder in folders}
        names = [joined(key, each) for key in keys for each in self._files.yaml_in(key)]
        needed = {blob for name in names if (blob := self._blob(name))}
        self._contents |= blob_contents(self.top, sorted(needed - self._contents.keys()))

    def names(self, folder: Path) -> list[str]:
        """Names of the YAML files in a folder, in order."""
        return sorted(self._files.yaml_in(self._key(folder)))

    def yaml_files(self, folder: Path) -> list[Path]:
        """All ``*.yaml`` at or under a folder, in order of their paths."""
        return [self.top / name for name in sorted(self._files.yaml_under(self._key(folder)))]

    def targets(self) -> Iterator[str]:
        """Where links lead, as paths from the top."""
        return map(self._target, self._links)

    def _target(self, link: str) -> str:
        return posixpath.normpath(posixpath.join(posixpath.dirname(link), self._links[link]))

    def _blob(self, key: str) -> str:
        """Git's name for what a YAML file holds; empty if there is none."""
        return self._files.blob(key) if key.endswith(".yaml") else ""

    def _content(self, key: str) -> bytes:
        blob = self._blob(key)
        if blob not in self._contents:
            self.fetch([self.top / posixpath.dirname(key)])
        return self._contents[blob]

    def _key(self, path: Path) -> str:
        return Path(os.path.relpath(path, self.top)).as_posix()


def read_commit(top: Path, commit: str) -> Commit:
    """All YAML files of a commit, and links with such names. Raises UsageError if git fails."""
    return commit_of(top, commit, tracked_files(top, commit))


def commit_of(top: Path, commit: str, files: Tracked) -> Commit:
    """A commit that holds these files."""
    links = files.yaml_links()
    targets = blob_contents(top, sorted(set(links.values())))
    return Commit(top, commit, files, {name: os.fsdecode(targets[blob]) for name, blob in links.items()})
