"""Loads the schemas, and gives the kind of every field they name."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from functools import cache
from types import MappingProxyType
from typing import Any

from buildcheck.core.package_data import schemas_dir
from buildcheck.core.subject import VALVE_TYPES

_BESIDES_BUILDS = ("buildcheck", "rule")  # schemas of files that no build folder holds
_ENDING = ".schema.json"
Schema = Mapping[str, Any]

_KINDS = {"boolean": "text", "integer": "count", "number": "ratio"}


def schema_names() -> tuple[str, ...]:
    """Names of all schemas, in alphabetical order."""
    return tuple(sorted(path.name.removesuffix(_ENDING) for path in schemas_dir().glob(f"*{_ENDING}")))


@cache
def load_schema(name: str) -> Schema:
    """The schema of that name (``marks``) as data."""
    schema: Schema = json.loads((schemas_dir() / f"{name}{_ENDING}").read_text(encoding="utf-8"))
    return schema


def schema_by_id(schema_id: str) -> Schema:
    """The schema with an ``$id`` such as ``buildcheck:cam:1``, from the package itself; KeyError if there is none."""
    folder = schemas_dir()
    for path in (*sorted(folder.glob(f"*{_ENDING}")), *sorted(folder.glob(f"json/*{_ENDING}"))):
        schema: Schema = json.loads(path.read_text(encoding="utf-8"))
        if schema["$id"] == schema_id:
            return schema
    raise KeyError(schema_id)


@cache
def field_kinds() -> Mapping[str, str]:
    """Dotted path of a build's field, list positions left out -> kind: ``length`` …, ``count``, ``text``.

    >>> field_kinds()["heads.springs.intake.rate"]
    'rate'
    """
    return MappingProxyType({path: kind for path, schema, _ in _fields() if (kind := _kind(schema))})


@cache
def field_kind(path: str) -> str:
    """Kind of a field, by its path, which may hold {valve}; KeyError for one that no schema has.

    >>> field_kind("heads.springs.{valve}.rate")
    'rate'
    """
    kinds = field_kinds()
    return (
        next(
            (kinds[valve_path] for valve in VALVE_TYPES if (valve_path := path.replace("{valve}", valve)) in kinds), ""
        )
        or kinds[path]
    )


def resolved(schema: Schema, definitions: Schema) -> Schema:
    """The schema itself, or the definition that it refers to."""
    found: Schema = definitions[schema["$ref"].removeprefix("#/$defs/")] if "$ref" in schema else schema
    return found


def field_schema(path: str) -> Schema:
    """The schema of a build's field, with the title and description of its own place.

    >>> field_schema("heads.springs.intake.rate")["title"]
    'Valve spring rate'
    """
    name, *keys = path.split(".")
    schema, definitions = load_schema(name), load_schema(name)["$defs"]
    for key in keys:
        child = _inside(schema, definitions)["properties"][key]
        schema = {**resolved(child, definitions), **child}
    return {**_inside(schema, definitions), **schema}


def _inside(schema: Schema, definitions: Schema) -> Schema:
    """What a list's items are, for a list."""
    return _inside(resolved(schema["items"], definitions), definitions) if "items" in schema else schema


@cache
def listed_fields() -> frozenset[str]:
    """Fields in lists, so that a path alone does not show which is meant; ``each`` is found by its subject.

    >>> "marks.valves.trials.length" in listed_fields(), "heads.each.stem_height" in listed_fields()
    (True, False)
    """
    return frozenset(path for path, _, listed in _fields() if listed and path.split(".")[1:2] != ["each"])


@cache
def field_words(path: str) -> tuple[str, ...]:
    """The words that a field may hold, by its path, which may hold {valve}; none where it is free.

    >>> field_words("rockers.adjuster")
    ('none', 'nut', 'screw')
    """
    paths = {path.replace("{valve}", valve) for valve in VALVE_TYPES}
    return tuple(word for found, schema, _ in _fields() if found in paths for word in schema.get("enum", ()))


@cache
def _fields() -> tuple[tuple[str, Schema, bool], ...]:
    """Path, schema and whether it is in a list, of everything that a build's files may hold."""
    schemas = {name: load_schema(name) for name in schema_names() if name not in _BESIDES_BUILDS}
    return tuple(each for name, schema in schemas.items() for each in _walk(schema, schema["$defs"], name, False))


def _walk(schema: Schema, definitions: Schema, path: str, listed: bool) -> Iterator[tuple[str, Schema, bool]]:
    schema = resolved(schema, definitions)
    yield path, schema, listed
    if "items" in schema:
        yield from _walk(schema["items"], definitions, path, True)
    for key, child in schema.get("properties", {}).items():
        yield from _walk(child, definitions, f"{path}.{key}", listed)


def _kind(schema: Schema) -> str:
    types = schema["type"]
    first = types if isinstance(types, str) else types[0]
    if first == "string":
        return str(schema.get("format", "text"))
    return _KINDS.get(first, "")
