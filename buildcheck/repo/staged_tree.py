"""Files as they are staged: what a commit would hold, wherever the working tree differs from it."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator
from contextlib import suppress
from pathlib import Path

from buildcheck.core.files import read_regular, real
from buildcheck.repo.blobs import blob_contents
from buildcheck.repo.file_tree import DISK, Tree
from buildcheck.repo.git import git
from buildcheck.repo.git_diff import Changed
from buildcheck.repo.overlay_tree import ExtendedDisk, OverlayTree
from buildcheck.repo.tracked_files import Tracked
from buildcheck.yamlio.documents import Document, read
from buildcheck.yamlio.yaml_text import LIMIT_BYTES

_FILES = ("100644", "100755")
_SHA1_DIGITS = 40
_TO_BE_ADDED = "A"
"""A file without staged content, by ``git add --intent-to-add``."""


def staged_tree(root: Path, changes: Iterable[Changed]) -> Tree:
    """The tree that a commit would hold; the disk itself if no tracked YAML file differs from what is staged."""
    start = "" if (root / ".git").exists() else os.fsdecode(git(root, "rev-parse", "--show-prefix")).rstrip("\n")
    found = [one for one in changes if one.on_disk != "." and one.name.endswith(".yaml") and one.name.startswith(start)]
    blobs = {one.name: one.blob for one in found if one.modes[1] in _FILES}
    contents = blob_contents(root, sorted(set(blobs.values())))
    files = {name: contents[blob] for name, blob in blobs.items()}
    files |= dict.fromkeys((one.name for one in found if one.on_disk == _TO_BE_ADDED), b"")
    return OverlayTree({root / name.removeprefix(start): content for name, content in files.items()}) if files else DISK


class StagedTree(ExtendedDisk):
    """The disk, but a tracked YAML file that differs from what is staged is read as staged; it need not exist."""

    def __init__(self, root: Path, tracked: Tracked) -> None:
        self._root = root
        self._tracked = tracked

    def exists(self, path: Path) -> bool:
        """Whether something exists at a path, on the disk or staged."""
        return super().exists(path) or bool(self._tracked.blob(self._name(path)))

    def read(self, path: Path, file: str) -> Document:
        """The YAML file at a path, as staged if it is tracked."""
        name = self._name(path)
        blob = self._tracked.blob(name) if name.endswith(".yaml") else ""
        if not blob:
            return super().read(path, file)
        content = _on_disk(self._root / name, blob)
        return read(content if content is not None else blob_contents(self._root, [blob])[blob], file)

    def _names_in(self, folder: Path) -> Iterable[str]:
        return self._tracked.yaml_in(self._name(folder))

    def _paths_under(self, folder: Path) -> Iterable[Path]:
        home = self._name(folder)
        return (folder / os.path.relpath(name, home) for name in self._tracked.yaml_under(home))

    def _name(self, path: Path) -> str:
        """The first tracked name of a path from the root: its own, below a folder's links, behind all links.

        If none is tracked, the last one; empty if that is out.
        """
        for each in _spellings(path):
            name = self._from_root(str(each))
            if name in self._tracked.names or name in self._tracked.files_in:
                break
        return name

    def _from_root(self, path: str) -> str:
        return "." if path == str(self._root) else self._tracked.name_of(path)


def _spellings(path: Path) -> Iterator[Path]:
    """A path as it is, behind the links above it, and behind all links."""
    yield path.absolute()
    yield real(path.parent) / path.name
    yield real(path)


def _on_disk(path: Path, blob: str) -> bytes | None:
    """The content that git has this name for, if the file holds it, maybe with other line ends; else None."""
    try:
        content = read_regular(path, LIMIT_BYTES + 1)
    except (OSError, ValueError):
        return None
    digest = _digest(len(blob))
    contents = (content, content.replace(b"\r\n", b"\n"))
    return next((one for one in contents if digest(b"blob %d\0%b" % (len(one), one)) == blob), None)


def _digest(digits: int) -> Callable[[bytes], str]:
    """The digest that git's names for objects are, SHA-1 or SHA-256."""
    if digits == _SHA1_DIGITS:
        with suppress(ImportError):
            from _sha1 import sha1  # type: ignore[import-not-found]  # hashlib loads OpenSSL, as slow as a call of git

            return lambda content: str(sha1(content).hexdigest())
    from hashlib import sha1, sha256

    made = sha1 if digits == _SHA1_DIGITS else sha256
    return lambda content: made(content, usedforsecurity=False).hexdigest()
