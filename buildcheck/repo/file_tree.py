"""Where files are read from: the disk, or a commit. Both answer the same questions about the same paths."""

from __future__ import annotations

import os
import re
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Protocol

from buildcheck.core.files import real
from buildcheck.yamlio.documents import Document, read_file

CONFIG = "buildcheck.yaml"
"""The team's settings: they stand at the repository's root."""

FILES = (
    "as_built", "block", "build", "cam", "clearances", "concessions",
    "heads", "marks", "motion", "pushrods", "rockers", "stackup",
)  # fmt: skip
"""What a build's files are called, without their ending."""

OWN_FILES = frozenset(f"{name}.yaml" for name in FILES)
"""The same with it."""

BUILD_FILE = "build.yaml"
"""The file that makes a folder a build."""

_PASSED_OVER = ("__pycache__", "lost+found", "node_modules")
_HIDDEN = rf"(?:^|/)(?:\.|(?:{'|'.join(map(re.escape, _PASSED_OVER))})(?:/|\Z))"
"""A path with a folder of such a name, or with a hidden one."""


class Tree(Protocol):
    """A tree of files, asked by absolute paths."""

    def exists(self, path: Path) -> bool:
        """Whether something exists at a path, be it a link that leads nowhere."""

    def is_dir(self, path: Path) -> bool:
        """Whether a folder exists at a path."""

    def is_top(self, folder: Path) -> bool:
        """Whether a folder is the top of a git repository."""

    def read(self, path: Path, file: str) -> Document:
        """The YAML file at a path; ``file`` is the relative POSIX path that its places speak of."""

    def walk(self, start: Path) -> Iterator[tuple[str, list[str]]]:
        """A folder, as ``.``, and all below it by their paths from there, with the names of what each holds."""

    def fetch(self, folders: Iterable[Path]) -> None:
        """Get what is about to be read at once, where asking for one file after another would cost more."""

    def names(self, folder: Path) -> list[str]:
        """Names of what a folder holds, in order."""

    def yaml_files(self, folder: Path) -> list[Path]:
        """All ``*.yaml`` at or under a folder, in order of their paths."""


class Disk:
    """The files as they lie in the working tree."""

    def exists(self, path: Path) -> bool:
        """Whether something exists at a path, be it a link that leads nowhere."""
        return path.is_symlink() or path.exists()

    def is_dir(self, path: Path) -> bool:
        """Whether a folder exists at a path."""
        return path.is_dir()

    def is_top(self, folder: Path) -> bool:
        """Whether a folder is the top of a git repository."""
        return (folder / ".git").exists()

    def read(self, path: Path, file: str) -> Document:
        """Read a regular file that lies under the folder that ``file`` is relative to."""
        return read_file(path, file)

    def walk(self, start: Path) -> Iterator[tuple[str, list[str]]]:
        """A folder, as ``.``, and all below it by their paths from there, hidden ones left out.

        Raises OSError for one that cannot be looked into: builds in it would drop out in silence.
        """
        top = os.path.join(start, "")
        for folder, below, files in os.walk(top, onerror=_raise):
            names = sorted([*below, *files])
            below[:] = sorted(name for name in below if is_seen(name))
            yield folder.removeprefix(top).replace(os.sep, "/") or ".", names

    def fetch(self, folders: Iterable[Path]) -> None:
        """Nothing: files are at hand."""

    def names(self, folder: Path) -> list[str]:
        """Names of what a folder holds, in order."""
        return sorted(os.listdir(folder))

    def yaml_files(self, folder: Path) -> list[Path]:
        """All ``*.yaml`` at or under a folder, in order of their paths."""
        found = (
            Path(below, name)
            for below, folders, files in os.walk(folder, onerror=_raise)
            for name in (*folders, *files)
            if name.endswith(".yaml")
        )
        return sorted(found, key=lambda path: path.relative_to(folder).as_posix())


def _raise(error: OSError) -> None:
    """What walking meets and would pass over: only a folder that has gone meanwhile is."""
    if not isinstance(error, FileNotFoundError):
        raise error


DISK = Disk()


def joined(folder: str, below: str) -> str:
    """A path below a folder, where either may be ``.``."""
    return f"{folder}/{below}" if "." not in (folder, below) else below if folder == "." else folder


def is_seen(name: str) -> bool:
    """Whether a folder of this name may hold builds."""
    return not name.startswith(".") and name not in _PASSED_OVER


def is_searched(folder: str) -> bool:
    """Whether a folder, by its path, may hold builds: it and all folders above."""
    return folder == "." or re.search(_HIDDEN, folder) is None


def root_of(folder: Path, tree: Tree) -> Path:
    """The repository that holds a folder: the nearest one up with .git, else with buildcheck.yaml, else the folder."""
    start = real(folder)
    upwards = (start, *start.parents)
    tops = (each for each in upwards if tree.is_top(each))
    configured = (each for each in upwards if tree.exists(each / CONFIG))
    return next(tops, None) or next(configured, upwards[0])
