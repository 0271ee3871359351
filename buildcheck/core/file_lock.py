"""Lets one process at a time change the files of a folder."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Iterator
from pathlib import Path

try:
    import fcntl
except ImportError:  # no such locks on Windows: there a file changed meanwhile is still noticed before it is replaced
    fcntl = None  # type: ignore[assignment]


@contextlib.contextmanager
def locked(folder: Path) -> Iterator[None]:
    """Hold the folder for this process; others wait. The system lets go of it if the process is killed."""
    if fcntl is None:
        yield
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX)
        yield
    finally:
        os.close(handle)
