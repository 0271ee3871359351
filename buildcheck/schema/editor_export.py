"""The schemas as editors want them, exported beside the builds, and which exported copies are stale."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from functools import cache
from pathlib import Path
from typing import Any

from buildcheck.core.files import read_regular, write_whole
from buildcheck.core.part_reference import USES
from buildcheck.schema.fields import load_schema, schema_names

FOLDER = ".schemas"
_ENDING = ".schema.json"


def editor_schemas(names: Iterable[str] | None = None) -> dict[str, bytes]:
    """File name -> content of the schemas of these names, of all when left out."""
    return {f"{name}{_ENDING}": _exported(name) for name in (schema_names() if names is None else names)}


def export(folder: Path) -> list[Path]:
    """Write all schemas into the folder's ``.schemas``, over older copies, and return the files."""
    (folder / FOLDER).mkdir(parents=True, exist_ok=True)
    written = []
    for name, data in editor_schemas().items():
        path = folder / FOLDER / name
        write_whole(path, data.decode())
        written.append(path)
    return written


def stale(folder: Path) -> Iterator[Path]:
    """Exported schemas in a folder that differ from this version's, line endings aside, or cannot be read."""
    for path in sorted((folder / FOLDER).glob(f"*{_ENDING}")):
        name = path.name.removesuffix(_ENDING)
        if name in schema_names() and not _is_current(path, _exported(name)):
            yield path


def _is_current(path: Path, data: bytes) -> bool:
    try:
        return read_regular(path, 2 * len(data)).replace(b"\r\n", b"\n") == data
    except (OSError, ValueError):
        return False


@cache
def _exported(name: str) -> bytes:
    return (json.dumps(_lenient(load_schema(name)), ensure_ascii=False, indent=1) + "\n").encode()


def _lenient(schema: Any) -> Any:
    """What a mapping needs it needs only where it uses no part: an editor cannot see what the part brings."""
    if isinstance(schema, list):
        return [_lenient(one) for one in schema]
    if not isinstance(schema, dict):
        return schema
    relaxed = {key: _lenient(child) for key, child in schema.items()}
    if USES in schema.get("properties", {}) and "required" in schema:
        needed = {"if": {"properties": {USES: False}}, "then": {"required": relaxed.pop("required")}}
        relaxed["allOf"] = [*relaxed.get("allOf", []), needed]
    return relaxed
