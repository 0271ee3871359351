"""Lays out new files whole or not at all, and overwrites nothing."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator, Mapping
from pathlib import Path, PurePosixPath


class OverwriteError(ValueError):
    """Files that new ones would overwrite: they are named, and nothing has been written."""


def write_new_files(folder: Path, contents: Mapping[str, bytes]) -> list[Path]:
    """Write files, by their paths under a folder, and return them in order.

    Everything is written next to the folder first and moved in whole, so that a failure leaves no half of it.
    Raises InTheWayError where a file of that name exists, OSError naming the folder where the disk refuses.
    """
    _refuse_overwriting(folder, contents)
    try:
        _write_and_move(folder, contents)
    except OSError as error:
        raise OSError(error.errno, f"cannot be made ({error.strerror})", str(folder)) from error
    return [folder / name for name in contents]


def _write_and_move(folder: Path, contents: Mapping[str, bytes]) -> None:
    folder.parent.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(dir=folder.parent, prefix=".start-") as scratch:
        fresh = Path(scratch) / "fresh"
        for name, data in contents.items():
            (fresh / name).parent.mkdir(parents=True, exist_ok=True)
            (fresh / name).write_bytes(data)
        _move_into(fresh, folder, contents)


def _refuse_overwriting(folder: Path, contents: Mapping[str, bytes]) -> None:
    if os.path.lexists(folder) and not folder.is_dir():
        raise OverwriteError(f"{folder} is not a folder: nothing was written")
    conflicts = dict.fromkeys(name for each in contents for name in _conflicts(folder, each))
    if conflicts:
        raise OverwriteError(f"already in {folder}: {', '.join(conflicts)}; nothing was written")


def _conflicts(folder: Path, name: str) -> Iterator[str]:
    if os.path.lexists(folder / name):
        yield name
    for above in PurePosixPath(name).parents[:-1]:
        if os.path.lexists(folder / above) and ((folder / above).is_symlink() or not (folder / above).is_dir()):
            yield above.as_posix()


def _move_into(fresh: Path, folder: Path, contents: Mapping[str, bytes]) -> None:
    if not folder.exists():
        fresh.rename(folder)
        return
    for name in contents:
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (fresh / name).rename(folder / name)
