"""Reads regular files only, and writes a file whole or not at all."""

from __future__ import annotations

import contextlib
import os
import stat
from pathlib import Path

_USUAL = 64 * 1024
"""Bytes of a larger file than usual: room for the largest is made only for a file that fills this."""


def read_regular(path: Path, most: int) -> bytes:
    """The first bytes of a regular file, at most the given number.

    A link, pipe or device raises ValueError or OSError: it is never opened, as it may never answer.
    """
    if not stat.S_ISREG(path.lstat().st_mode):
        raise ValueError("it is not a regular file")
    with open(path, "rb", opener=_without_waiting) as opened:
        if not stat.S_ISREG(os.fstat(opened.fileno()).st_mode):
            raise ValueError("it is not a regular file")
        data = opened.read(min(most, _USUAL))
        return data + opened.read(most - _USUAL) if len(data) == _USUAL < most else data


def real(path: Path) -> Path:
    """Where a path leads, links followed; one that leads back to itself (which Path.resolve may refuse) to itself."""
    return Path(os.path.realpath(path))


def _without_waiting(path: str, flags: int) -> int:
    """Opens so that a pipe or link put in the file's place meanwhile cannot lead astray or hold us up."""
    return os.open(path, flags | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_NOFOLLOW", 0))


def write_whole(path: Path, text: str) -> None:
    """Put a text in place of a file, durable and at once: a kill or a full disk leaves the old one whole.

    Raises OSError naming the file where its folder or the disk refuses.
    """
    try:
        _replace(path, text)
    except OSError as error:
        raise OSError(error.errno, f"cannot be written ({error.strerror}); it is unchanged", str(path)) from error


def _replace(path: Path, text: str) -> None:
    import tempfile

    handle, name = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(text.encode())
            file.flush()
            os.fsync(file.fileno())
        os.chmod(name, _mode(path))
        os.replace(name, path)
        _settle(path.parent)
    except BaseException:
        with contextlib.suppress(OSError):
            os.unlink(name)
        raise


def _settle(folder: Path) -> None:
    """Make the new name itself durable; where folders cannot be opened (Windows) the system sees to it."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _mode(path: Path) -> int:
    if path.exists():
        return path.stat().st_mode & 0o777
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask
