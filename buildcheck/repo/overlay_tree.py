"""The files on the disk with some of them replaced: how a change is checked before it is written."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from buildcheck.repo.file_tree import Disk
from buildcheck.yamlio.documents import Document, read


class OverlayTree(Disk):
    """The disk, but for files whose bytes are given; they need not exist."""

    def __init__(self, files: Mapping[Path, bytes]) -> None:
        self._files = files

    def exists(self, path: Path) -> bool:
        """Whether something exists at a path."""
        return path in self._files or super().exists(path)

    def read(self, path: Path, file: str) -> Document:
        """The YAML file at a path, or the given bytes."""
        return read(self._files[path], file) if path in self._files else super().read(path, file)

    def names(self, folder: Path) -> list[str]:
        """Names of what a folder holds, in order."""
        own = {path.name for path in self._files if path.parent == folder}
        return sorted({*super().names(folder), *own})
