"""Writes a file whole or not at all."""

from __future__ import annotations

import contextlib
import os
import tempfile
from pathlib import Path


def write_whole(path: Path, text: str) -> None:
    """Put a text in place of a file, durable and at once: a kill or a full disk leaves the old one whole."""
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
