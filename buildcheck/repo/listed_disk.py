"""The disk, with the folders that git has listed already: looking into each of them again would take as long."""

from __future__ import annotations

import os
from collections.abc import Iterator
from functools import cached_property
from pathlib import Path

from buildcheck.core.files import real
from buildcheck.repo.file_tree import DISK, Disk, joined
from buildcheck.repo.folder_list import Folders, by_folder, folders_of, walk
from buildcheck.repo.working_tree import WorkingTree

_DELETED = "D"


class ListedDisk(Disk):
    """The disk, walked from the top of a working tree by what git has listed there.

    Git passes over a folder that it cannot open, and warns: then the disk itself is walked.
    """

    def __init__(self, working: WorkingTree) -> None:
        self._working = working

    def walk(self, start: Path) -> Iterator[tuple[str, list[str]]]:
        """A folder, as ``.``, and all below it by their paths from there, hidden ones left out."""
        is_listed = real(start) == self._working.top and self._working.is_complete
        return walk(self._folders, ".") if is_listed else super().walk(start)

    @cached_property
    def _folders(self) -> Folders:
        found = {folder: set(files) for folder, files in self._working.tracked.files_in.items()}
        for folder, gone in by_folder(self._missing_names()).items():
            found.get(folder, set()).difference_update(gone)
        for folder, others in by_folder(self._other_names()).items():
            found.setdefault(folder, set()).update(others)
        return folders_of({folder: names for folder, names in found.items() if names})

    def _missing_names(self) -> Iterator[str]:
        """Files that git tracks and that are not on the disk."""
        tracked, changes = self._working.tracked, self._working.changes
        unclear = {*tracked.unseen, *(one.name for one in changes if one.is_conflict)} & tracked.names
        yield from (one.name for one in changes if one.on_disk == _DELETED)
        yield from (name for name in unclear if not os.path.lexists(self._working.top / name))

    def _other_names(self) -> Iterator[str]:
        """Files that git does not track, and all in folders that it does not look into: ignored, or a repository."""
        folders = [f"{folder}/" for folder in self._working.tracked.submodules()]
        for name in (*(one.name for one in self._working.changes if not one.is_tracked), *folders):
            if name.endswith("/"):
                yield from self._names_below(name.removesuffix("/"))
            else:
                yield name

    def _names_below(self, folder: str) -> Iterator[str]:
        if DISK.is_dir(self._working.top / folder):
            for below, names in DISK.walk(self._working.top / folder):
                yield from (joined(joined(folder, below), name) for name in names)
