"""Files as they are staged: what a commit would hold, wherever the working tree differs from it."""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping
from pathlib import Path

from buildcheck.core.files import real
from buildcheck.repo.commit_tree import blob_contents
from buildcheck.repo.file_tree import DISK, Disk, Tree
from buildcheck.repo.git import git
from buildcheck.yamlio.documents import Document, read

_DIFFERING = ("diff-files", "--name-only", "--relative", "-z", "--ignore-submodules", "--", "*.yaml")
_FILES = ("100644", "100755")


class StagedTree(Disk):
    """The working tree, with the staged content of each YAML file that differs from it or is missing.

    ``contents`` has the staged content by the file's real path.
    """

    def __init__(self, contents: Mapping[Path, bytes]) -> None:
        self._contents = contents

    def exists(self, path: Path) -> bool:
        return real(path) in self._contents or super().exists(path)

    def read(self, path: Path, file: str) -> Document:
        content = self._contents.get(real(path))
        return read(content, file) if content is not None else super().read(path, file)

    def walk(self, start: Path) -> Iterator[tuple[str, list[str]]]:
        for below, names in super().walk(start):
            yield below, sorted({*names, *self._staged_in(start / below)})

    def names(self, folder: Path) -> list[str]:
        return sorted({*super().names(folder), *self._staged_in(folder)})

    def yaml_files(self, folder: Path) -> list[Path]:
        top = real(folder)
        staged = {folder / path.relative_to(top) for path in self._contents if path.is_relative_to(top)}
        return sorted({*super().yaml_files(folder), *staged}, key=lambda path: path.relative_to(folder).as_posix())

    def _staged_in(self, folder: Path) -> set[str]:
        top = real(folder)
        return {path.name for path in self._contents if path.parent == top}


def staged_tree(root: Path) -> Tree:
    """The tree that a commit would hold; the disk itself if no tracked YAML file differs from what is staged."""
    names = [name for name in os.fsdecode(git(root, *_DIFFERING)).split("\0") if name]
    blobs = dict(_staged_blobs(root, names)) if names else {}
    contents = blob_contents(root, sorted(set(blobs.values())))
    return StagedTree({real(root / name): contents[blob] for name, blob in blobs.items()}) if blobs else DISK


def _staged_blobs(root: Path, names: list[str]) -> Iterator[tuple[str, str]]:
    """Name and blob of regular files; a conflict has no staged content yet."""
    for entry in os.fsdecode(git(root, "ls-files", "--stage", "-z", "--", *names)).split("\0"):
        about, _, name = entry.partition("\t")
        if name:
            mode, blob, stage = about.split()
            if mode in _FILES and stage == "0":
                yield name, blob
