"""Where the tests write: in memory if the machine has room there, because they make and remove many small files."""

from __future__ import annotations

import os
import shutil
import tempfile
from pathlib import Path

MEMORY = Path("/dev/shm")
ROOM = 2**30
"""Bytes that must be free there; the tests write about a tenth of it."""


def write_in_memory() -> None:
    """Put the temporary folders of this process and of those that it starts into memory.

    Not where the user chose a folder, where room is short, or where no program may be run.
    """
    if "TMPDIR" not in os.environ and _is_suitable(MEMORY):
        os.environ["TMPDIR"] = str(MEMORY)
        tempfile.tempdir = None


def _is_suitable(folder: Path) -> bool:
    if not (folder.is_dir() and os.access(folder, os.W_OK | os.X_OK)):
        return False
    return shutil.disk_usage(folder).free > ROOM and not os.statvfs(folder).f_flag & os.ST_NOEXEC
