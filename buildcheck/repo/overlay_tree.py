"""The files on the disk with one of them replaced: how a change is checked before it is written."""

from __future__ import annotations

from pathlib import Path

from buildcheck.repo.file_tree import Disk
from buildcheck.yamlio.documents import Document, read


class OverlayTree(Disk):
    """The disk, but for one file whose bytes are given; the file need not exist."""

    def __init__(self, path: Path, data: bytes) -> None:
        self._path = path
        self._data = data

    def exists(self, path: Path) -> bool:
        """Whether something exists at a path."""
        return path == self._path or super().exists(path)

    def read(self, path: Path, file: str) -> Document:
        """The YAML file at a path, or the given bytes."""
        return read(self._data, file) if path == self._path else super().read(path, file)

    def names(self, folder: Path) -> list[str]:
        """Names of what a folder holds, in order."""
        own = {self._path.name} if folder == self._path.parent else set()
        return sorted({*super().names(folder), *own})
