"""Says quickly that data meets a schema. It has no words for a refusal: the validator (``refusals``) has.

Almost every file is as it should be, and is then read without the validator being loaded.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping, Sequence
from functools import lru_cache
from itertools import combinations
from typing import Any

from buildcheck.schema.fields import Schema
from buildcheck.schema.plausible_range import implausible, too_uncertain
from buildcheck.units.quantity import KEPT, QuantityError, check_format

Accepts = Callable[[Any], bool]


class UnknownKeyword(ValueError):
    """The schema uses a keyword that only the validator knows."""


def fast_validator(schema: Schema) -> Accepts:
    """Whether plain data meets a schema (JSON Schema 2020-12, with our formats, ``x-plausible`` and ``x-uncertainty``).

    Raises UnknownKeyword if the schema uses a keyword that is not listed here.

    >>> accepts = fast_validator({"type": "object", "properties": {"bore": {"type": "string", "format": "length"}}})
    >>> accepts({"bore": "3 3/4 in"}), accepts({"bore": "3.75"})
    (True, False)
    """
    return _Reader(schema.get("$defs", {})).accepts(schema)


class _Reader:
    """Turns schemas into functions, each definition once."""

    def __init__(self, definitions: Schema) -> None:
        self.definitions = definitions
        self.known: dict[str, Accepts] = {}

    def accepts(self, schema: Schema | bool) -> Accepts:
        if isinstance(schema, bool):
            return lambda value: bool(schema)
        if strange := schema.keys() - _KEYWORDS.keys() - _SILENT:
            raise UnknownKeyword(", ".join(sorted(strange)))
        checks = [_KEYWORDS[key](schema[key], schema, self) for key in _KEYWORDS if key in schema]
        if schema.get("type") == "string":
            return _text(_all(checks))
        return _all(checks)

    def definition(self, name: str) -> Accepts:
        if name not in self.known:
            self.known[name] = self.accepts(self.definitions[name])
        return self.known[name]


def _all(checks: Sequence[Accepts]) -> Accepts:
    def accepts(value: Any) -> bool:
        for check in checks:  # noqa: SIM110 - a loop is several times as fast as all() here
            if not check(value):
                return False
        return True

    return checks[0] if len(checks) == 1 else accepts


def _text(accepts: Accepts) -> Accepts:
    """The verdict on a text is kept: the same few hundred values occur in every build of a shop."""
    return lambda value: isinstance(value, str) and _accepts_text(accepts, value)


@lru_cache(maxsize=KEPT)
def _accepts_text(accepts: Accepts, text: str) -> bool:
    return accepts(text)


def is_integer(value: object) -> bool:
    """A whole number; true and false are none."""
    return isinstance(value, int) and not isinstance(value, bool)


def is_number(value: object) -> bool:
    """``.nan`` and ``.inf`` slip through minimum and maximum: they are no numbers here."""
    return is_integer(value) or (isinstance(value, float) and math.isfinite(value))


_TYPES: Mapping[str, Accepts] = {
    "array": lambda value: isinstance(value, list),
    "boolean": lambda value: isinstance(value, bool),
    "integer": is_integer,
    "null": lambda value: value is None,
    "number": is_number,
    "object": lambda value: isinstance(value, dict),
    "string": lambda value: isinstance(value, str),
}


_NAMES: Mapping[type, str] = {dict: "object", list: "array", str: "string"}


def _type(expected: str | list[str], schema: Schema, reader: _Reader) -> Accepts:
    if isinstance(expected, str):
        return _TYPES[expected]
    kinds = [_TYPES[each] for each in expected]
    return lambda value: any(kind(value) for kind in kinds)


def _same(one: object, other: object) -> bool:
    """1 and true are two values."""
    return one == other and isinstance(one, bool) == isinstance(other, bool)


def _enum(expected: list[Any], schema: Schema, reader: _Reader) -> Accepts:
    if any(isinstance(each, dict | list) for each in expected):
        raise UnknownKeyword("enum of lists or mappings")
    if all(isinstance(each, str) for each in expected):
        return lambda value: isinstance(value, str) and value in expected
    return lambda value: any(_same(each, value) for each in expected)


def _format(kind: str, schema: Schema, reader: _Reader) -> Accepts:
    def accepts(value: Any) -> bool:
        try:
            check_format(kind, value)
        except QuantityError:
            return False
        return True

    return _only(str, schema, accepts)


def _pattern(expected: str, schema: Schema, reader: _Reader) -> Accepts:
    return _only(str, schema, lambda value: re.search(expected, value) is not None)


def _plausible(usual: list[str], schema: Schema, reader: _Reader) -> Accepts:
    kind, title, zero, (low, high) = schema["format"], schema["title"], schema.get("x-zero", False), usual
    return _only(str, schema, lambda value: implausible(value, kind, title, (low, high), zero) is None)


def _uncertainty(most: str, schema: Schema, reader: _Reader) -> Accepts:
    kind, title = schema["format"], schema["title"]
    return _only(str, schema, lambda value: too_uncertain(value, kind, title, most) is None)


def _properties(expected: Schema, schema: Schema, reader: _Reader) -> Accepts:
    fields = {key: reader.accepts(each) for key, each in expected.items()}

    def accepts(value: Mapping[str, Any]) -> bool:
        for key, each in value.items():  # noqa: SIM110 - as above
            if key in fields and not fields[key](each):
                return False
        return True

    return _only(dict, schema, accepts)


def _additional(expected: Schema | bool, schema: Schema, reader: _Reader) -> Accepts:
    known, accepts = schema.get("properties", {}), reader.accepts(expected)
    if expected is False:
        return _only(dict, schema, lambda value: value.keys() <= known.keys())
    return _only(dict, schema, lambda value: all(accepts(each) for key, each in value.items() if key not in known))


def _required(expected: list[str], schema: Schema, reader: _Reader) -> Accepts:
    keys = frozenset(expected)
    return _only(dict, schema, lambda value: value.keys() >= keys)


def _names(expected: Schema, schema: Schema, reader: _Reader) -> Accepts:
    accepts = reader.accepts(expected)
    return _only(dict, schema, lambda value: all(accepts(key) for key in value))


def _items(expected: Schema, schema: Schema, reader: _Reader) -> Accepts:
    accepts = reader.accepts(expected)

    def accept_all(values: list[Any]) -> bool:
        for each in values:  # noqa: SIM110 - as above
            if not accepts(each):
                return False
        return True

    return _only(list, schema, accept_all)


def _unique(expected: bool, schema: Schema, reader: _Reader) -> Accepts:
    return _only(list, schema, lambda value: not expected or _all_differ(value))


def _contains(expected: Schema, schema: Schema, reader: _Reader) -> Accepts:
    accepts = reader.accepts(expected)
    return _only(list, schema, lambda value: any(accepts(each) for each in value))


def _all_of(expected: list[Schema], schema: Schema, reader: _Reader) -> Accepts:
    checks = [reader.accepts(each) for each in expected]
    return _all(checks)


def _not(expected: Schema, schema: Schema, reader: _Reader) -> Accepts:
    accepts = reader.accepts(expected)
    return lambda value: not accepts(value)


def _if(expected: Schema, schema: Schema, reader: _Reader) -> Accepts:
    branches = (expected, schema.get("then", True), schema.get("else", True))
    when, then, otherwise = (reader.accepts(each) for each in branches)
    return lambda value: then(value) if when(value) else otherwise(value)


def _only(kind: type, schema: Schema, accepts: Accepts) -> Accepts:
    """A keyword that speaks of values of one type lets all others through; ``type`` may have refused these before."""
    if schema.get("type") == _NAMES[kind]:
        return accepts
    return lambda value: not isinstance(value, kind) or accepts(value)


def _number(compare: Callable[[Any, Any], bool]) -> Callable[[Any, Schema, _Reader], Accepts]:
    return lambda expected, schema, reader: lambda value: not is_number(value) or compare(value, expected)


def _all_differ(values: list[Any]) -> bool:
    return not any(_same(one, other) for one, other in combinations(values, 2))


_KEYWORDS: Mapping[str, Callable[[Any, Schema, _Reader], Accepts]] = {
    "type": _type,
    "$ref": lambda expected, schema, reader: reader.definition(expected.removeprefix("#/$defs/")),
    "enum": _enum,
    "const": lambda expected, schema, reader: _enum([expected], schema, reader),
    "pattern": _pattern,
    "format": _format,
    "x-plausible": _plausible,
    "x-uncertainty": _uncertainty,
    "minimum": _number(lambda value, least: value >= least),
    "maximum": _number(lambda value, most: value <= most),
    "minItems": lambda expected, schema, reader: _only(list, schema, lambda value: len(value) >= expected),
    "maxItems": lambda expected, schema, reader: _only(list, schema, lambda value: len(value) <= expected),
    "uniqueItems": _unique,
    "maxLength": lambda expected, schema, reader: _only(str, schema, lambda value: len(value) <= expected),
    "minProperties": lambda expected, schema, reader: _only(dict, schema, lambda value: len(value) >= expected),
    "required": _required,
    "additionalProperties": _additional,
    "properties": _properties,
    "propertyNames": _names,
    "items": _items,
    "contains": _contains,
    "allOf": _all_of,
    "not": _not,
    "if": _if,
}
_SILENT = frozenset({"$schema", "$id", "$defs", "title", "description", "then", "else", "x-zero"})
