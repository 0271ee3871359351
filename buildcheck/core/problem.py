"""The nouns that travel between stages: places in files, and what is wrong there."""

from __future__ import annotations

import posixpath
from typing import NamedTuple

from buildcheck.record import Record, field_values


class Place(NamedTuple):
    """Where a value is written: POSIX path relative to the build folder or repository, 1-based line and column."""

    file: str
    line: int = 1
    column: int = 1

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}"

    @property
    def is_shared(self) -> bool:
        """Whether it lies in a part, outside its build's folder."""
        return self.file.startswith("../")

    def rebased_on(self, folder: str) -> Place:
        """The same place, counted from where the folder is that it is relative to."""
        return self._replace(file=posixpath.normpath(posixpath.join(folder, self.file)))

    def qualify(self, build: str, message: str) -> str:
        """What is said of a build here, with its name if the place does not show it: in a part."""
        return f"{build}, {message}" if self.is_shared else message


class Problem(Record):
    """Something that keeps data from being read or believed: an error at its place, never a verdict.

    ``path`` is the key's dotted path inside its file (``intake.lobe_lift``), empty for the whole file.
    """

    place: Place
    path: str
    message: str

    def __lt__(self, other: Problem) -> bool:
        """By place, path and message."""
        return field_values(self) < field_values(other)
