"""Makes a new build folder: the commented template files, and the schemas for editors that work offline."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from buildcheck.data import schemas_dir

_TEMPLATES = Path(__file__).parent / "starter"
_SCHEMA_FOLDER = ".schemas"  # the first line of each template file names it


class InTheWayError(ValueError):
    """Files that a new build folder would overwrite: they are named, and nothing has been written."""


def start(folder: Path) -> list[Path]:
    """Make a build folder, or fill an existing one, and tell the files written, in order.

    Everything is written next to the folder first and moved in whole, so that a failure leaves no half of a build.
    Raises InTheWayError where a file of that name exists, OSError where the disk refuses.
    """
    contents = _contents()
    _refuse_overwriting(folder, contents)
    folder.parent.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(dir=folder.parent, prefix=".start-") as scratch:
        fresh = Path(scratch) / "build"
        for name, data in contents.items():
            (fresh / name).parent.mkdir(parents=True, exist_ok=True)
            (fresh / name).write_bytes(data)
        _move_in(fresh, folder, contents)
    return [folder / name for name in contents]


def _contents() -> dict[str, bytes]:
    """Relative path -> bytes of every file of a new build folder."""
    templates = {path.name: path.read_bytes() for path in _TEMPLATES.glob("*.yaml")}
    schemas = {
        f"{_SCHEMA_FOLDER}/{path.name}": path.read_bytes()
        for path in schemas_dir().glob("*.schema.json")
        if f"{path.name.removesuffix('.schema.json')}.yaml" in templates
    }
    return dict(sorted({**templates, **schemas}.items()))


def _refuse_overwriting(folder: Path, contents: dict[str, bytes]) -> None:
    if os.path.lexists(folder) and not folder.is_dir():
        raise InTheWayError(f"{folder} is not a folder: nothing was written")
    schemas = folder / _SCHEMA_FOLDER
    taken = [name for name in contents if os.path.lexists(folder / name)]
    if os.path.lexists(schemas) and not schemas.is_dir():
        taken.append(_SCHEMA_FOLDER)
    if taken:
        raise InTheWayError(f"in the way in {folder}: {', '.join(taken)}; nothing was written")


def _move_in(fresh: Path, folder: Path, contents: dict[str, bytes]) -> None:
    if not folder.exists():
        fresh.rename(folder)
        return
    (folder / _SCHEMA_FOLDER).mkdir(exist_ok=True)
    for name in contents:
        (fresh / name).rename(folder / name)
