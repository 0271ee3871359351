"""The files on the disk with some of them replaced: a change before it is written, or what is staged."""

from __future__ import annotations

from abc import abstractmethod
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path

from buildcheck.core.files import real
from buildcheck.repo.file_tree import Disk
from buildcheck.yamlio.documents import Document, read


class ExtendedDisk(Disk):
    """The disk with files that need not exist there."""

    @abstractmethod
    def _names_in(self, folder: Path) -> Iterable[str]:
        """The names of those in a folder."""

    @abstractmethod
    def _paths_under(self, folder: Path) -> Iterable[Path]:
        """The paths of those with YAML at or under a folder, which each begins with."""

    def walk(self, start: Path) -> Iterator[tuple[str, list[str]]]:
        """A folder on the disk and all below it, with the names of what each holds."""
        for below, names in super().walk(start):
            yield below, sorted({*names, *self._names_in(start / below)})

    def names(self, folder: Path) -> list[str]:
        """Names of what a folder holds, in order."""
        return sorted({*super().names(folder), *self._names_in(folder)})

    def yaml_files(self, folder: Path) -> list[Path]:
        """All ``*.yaml`` at or under a folder, in order of their paths."""
        found = {*super().yaml_files(folder), *self._paths_under(folder)}
        return sorted(found, key=lambda path: path.relative_to(folder).as_posix())


class OverlayTree(ExtendedDisk):
    """The disk, but for files with given bytes; they need not exist."""

    def __init__(self, files: Mapping[Path, bytes]) -> None:
        self._files = {real(path): content for path, content in files.items()}

    def exists(self, path: Path) -> bool:
        """Whether something exists at a path."""
        return real(path) in self._files or super().exists(path)

    def read(self, path: Path, file: str) -> Document:
        """The YAML file at a path, or the given bytes."""
        content = self._files.get(real(path))
        return read(content, file) if content is not None else super().read(path, file)

    def _names_in(self, folder: Path) -> Iterable[str]:
        top = real(folder)
        return {path.name for path in self._files if path.parent == top}

    def _paths_under(self, folder: Path) -> Iterable[Path]:
        top = real(folder)
        return {folder / path.relative_to(top) for path in self._files if path.is_relative_to(top)}
