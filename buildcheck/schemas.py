"""Loads the schemas, holds a file's nodes against its schema, and tells the kind of every field they name."""

from __future__ import annotations

import json
import math
from collections.abc import Callable, Iterator, Mapping
from functools import cache, partial
from types import MappingProxyType
from typing import cast

from jsonschema import Draft202012Validator, FormatChecker, TypeChecker, ValidationError
from jsonschema.validators import extend
from referencing import Registry

from buildcheck.data import schemas_dir
from buildcheck.findings import Problem
from buildcheck.plausible import implausible
from buildcheck.quantity import KINDS, QuantityError, check_format
from buildcheck.reading import Node, plain
from buildcheck.schema_messages import Schema, problems, resolved
from buildcheck.subjects import VALVE_TYPES

_BESIDES_BUILDS = ("buildcheck", "rule")  # schemas of files that no build folder holds
_ENDING = ".schema.json"
_KINDS = {"boolean": "text", "integer": "count", "number": "ratio"}


def validate(name: str, root: Node, file: str) -> list[Problem]:
    """Hold a file's nodes against the schema of that name (``marks``): all that is wrong, by place.

    ``file`` is the file's name as shown; the nodes' own places already carry it.
    """
    errors = _validator(name).iter_errors(plain(root))
    definitions = load_schema(name)["$defs"]
    return sorted({problem for error in errors for problem in problems(error, root, definitions)})


def schema_names() -> tuple[str, ...]:
    """Names of all schemas, in alphabetical order."""
    return tuple(sorted(path.name.removesuffix(_ENDING) for path in schemas_dir().glob(f"*{_ENDING}")))


@cache
def load_schema(name: str) -> Schema:
    """The schema of that name (``marks``) as data."""
    schema: Schema = json.loads((schemas_dir() / f"{name}{_ENDING}").read_text(encoding="utf-8"))
    return schema


@cache
def field_kinds() -> Mapping[str, str]:
    """Dotted path of a build's field, list positions left out -> kind: ``length`` …, ``count``, ``text``.

    >>> field_kinds()["heads.springs.intake.rate"]
    'rate'
    """
    return MappingProxyType({path: kind for path, schema, _ in _fields() if (kind := _kind(schema))})


@cache
def field_kind(path: str) -> str:
    """Kind of a field, whose path may hold {valve}; KeyError for one that no schema has.

    >>> field_kind("heads.springs.{valve}.rate")
    'rate'
    """
    kinds = field_kinds()
    return (
        next((kinds[own] for valve in VALVE_TYPES if (own := path.replace("{valve}", valve)) in kinds), "")
        or kinds[path]
    )


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
    """Fields that stand in lists, so that a path alone does not tell which is meant; ``each`` is told by its subject.

    >>> "marks.valves.trials.length" in listed_fields(), "heads.each.stem_height" in listed_fields()
    (True, False)
    """
    return frozenset(path for path, _, listed in _fields() if listed and path.split(".")[1:2] != ["each"])


@cache
def field_words(path: str) -> tuple[str, ...]:
    """The words that a field may hold, whose path may hold {valve}; none where it is free.

    >>> field_words("rockers.adjuster")
    ('none', 'nut', 'screw')
    """
    own = {path.replace("{valve}", valve) for valve in VALVE_TYPES}
    return tuple(word for found, schema, _ in _fields() if found in own for word in schema.get("enum", ()))


@cache
def _fields() -> tuple[tuple[str, Schema, bool], ...]:
    """Path, schema and whether it stands in a list, of everything that a build's files may hold."""
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


@cache
def _validator(name: str) -> Draft202012Validator:
    # an explicit registry: without one, a reference with a scheme would be fetched
    return _checking()(load_schema(name), registry=Registry(), format_checker=_formats())


@cache
def _checking() -> Callable[..., Draft202012Validator]:
    strict = Draft202012Validator.TYPE_CHECKER.redefine("number", _is_number).redefine("integer", _is_integer)
    kind = extend(Draft202012Validator, {"x-plausible": _plausible}, type_checker=strict)  # type: ignore[no-untyped-call]
    return cast("Callable[..., Draft202012Validator]", kind)


def _is_number(checker: TypeChecker, value: object) -> bool:
    """``.nan`` and ``.inf`` slip through minimum and maximum: they are no numbers here."""
    return _is_integer(checker, value) or (isinstance(value, float) and math.isfinite(value))


def _is_integer(checker: TypeChecker, value: object) -> bool:
    return isinstance(value, int) and not isinstance(value, bool)


@cache
def _formats() -> FormatChecker:
    checker = FormatChecker(formats=())
    for kind in KINDS:
        checker.checks(kind, raises=QuantityError)(partial(_is_quantity, kind))
    return checker


def _is_quantity(kind: str, value: object) -> bool:
    if isinstance(value, str):
        check_format(kind, value)
    return True


def _plausible(
    validator: Draft202012Validator, usual: list[str], value: object, schema: Schema
) -> Iterator[ValidationError]:
    if isinstance(value, str):
        low, high = usual
        zero = schema.get("x-zero", False)
        if message := implausible(value, schema["format"], schema["title"], (low, high), zero):
            yield ValidationError(message)
