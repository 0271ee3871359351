"""Says quickly that data meets a schema. It has no words for a refusal: the validator (``refusals``) has.

Almost every file is as it should be, and is then read without the validator being loaded.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from typing import Any

from buildcheck.schema.fields import Schema
from buildcheck.schema.plausible_range import implausible, too_uncertain
from buildcheck.units.quantity import QuantityError, check_format

Accepts = Callable[[Any], bool]


class UnknownKeyword(ValueError):
    """The schema uses a keyword that only the validator knows."""


def acceptance(schema: Schema) -> Accepts:
    """Whether plain data meets a schema (JSON Schema 2020-12, with our formats, ``x-plausible`` and ``x-uncertainty``).

    Raises UnknownKeyword where the schema asks more than what stands here.

    >>> accepts = acceptance({"type": "object", "properties": {"bore": {"type": "string", "format": "length"}}})
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
        asked = [_KEYWORDS[key](schema[key], schema, self) for key in _KEYWORDS if key in schema]
        if len(asked) == 1:
            return asked[0]
        return lambda value: all(each(value) for each in asked)

    def definition(self, name: str) -> Accepts:
        if name not in self.known:
            self.known[name] = self.accepts(self.definitions[name])
        return self.known[name]


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


def _type(wanted: str | list[str], schema: Schema, reader: _Reader) -> Accepts:
    if isinstance(wanted, str):
        return _TYPES[wanted]
    kinds = [_TYPES[each] for each in wanted]
    return lambda value: any(kind(value) for kind in kinds)


def _same(one: object, other: object) -> bool:
    """1 and true are two values."""
    return one == other and isinstance(one, bool) == isinstance(other, bool)


def _enum(wanted: list[Any], schema: Schema, reader: _Reader) -> Accepts:
    if any(isinstance(each, dict | list) for each in wanted):
        raise UnknownKeyword("enum of lists or mappings")
    return lambda value: any(_same(each, value) for each in wanted)


def _format(kind: str, schema: Schema, reader: _Reader) -> Accepts:
    def accepts(value: Any) -> bool:
        try:
            check_format(kind, value)
        except QuantityError:
            return False
        return True

    return _only(str, accepts)


def _plausible(usual: list[str], schema: Schema, reader: _Reader) -> Accepts:
    kind, title, zero, (low, high) = schema["format"], schema["title"], schema.get("x-zero", False), usual
    return _only(str, lambda value: implausible(value, kind, title, (low, high), zero) is None)


def _uncertainty(most: str, schema: Schema, reader: _Reader) -> Accepts:
    kind, title = schema["format"], schema["title"]
    return _only(str, lambda value: too_uncertain(value, kind, title, most) is None)


def _properties(wanted: Schema, schema: Schema, reader: _Reader) -> Accepts:
    fields = {key: reader.accepts(each) for key, each in wanted.items()}
    return _only(dict, lambda value: all(fields[key](each) for key, each in value.items() if key in fields))


def _additional(wanted: Schema | bool, schema: Schema, reader: _Reader) -> Accepts:
    known, accepts = schema.get("properties", {}), reader.accepts(wanted)
    return _only(dict, lambda value: all(accepts(each) for key, each in value.items() if key not in known))


def _names(wanted: Schema, schema: Schema, reader: _Reader) -> Accepts:
    accepts = reader.accepts(wanted)
    return _only(dict, lambda value: all(accepts(key) for key in value))


def _items(wanted: Schema, schema: Schema, reader: _Reader) -> Accepts:
    accepts = reader.accepts(wanted)
    return _only(list, lambda value: all(accepts(each) for each in value))


def _contains(wanted: Schema, schema: Schema, reader: _Reader) -> Accepts:
    accepts = reader.accepts(wanted)
    return _only(list, lambda value: any(accepts(each) for each in value))


def _all_of(wanted: list[Schema], schema: Schema, reader: _Reader) -> Accepts:
    asked = [reader.accepts(each) for each in wanted]
    return lambda value: all(accepts(value) for accepts in asked)


def _not(wanted: Schema, schema: Schema, reader: _Reader) -> Accepts:
    accepts = reader.accepts(wanted)
    return lambda value: not accepts(value)


def _if(wanted: Schema, schema: Schema, reader: _Reader) -> Accepts:
    branches = (wanted, schema.get("then", True), schema.get("else", True))
    when, then, otherwise = (reader.accepts(each) for each in branches)
    return lambda value: then(value) if when(value) else otherwise(value)


def _only(kind: type, accepts: Accepts) -> Accepts:
    """A keyword that speaks of values of one type lets all others through."""
    return lambda value: not isinstance(value, kind) or accepts(value)


def _number(compare: Callable[[Any, Any], bool]) -> Callable[[Any, Schema, _Reader], Accepts]:
    return lambda wanted, schema, reader: lambda value: not is_number(value) or compare(value, wanted)


_KEYWORDS: Mapping[str, Callable[[Any, Schema, _Reader], Accepts]] = {
    "type": _type,
    "$ref": lambda wanted, schema, reader: reader.definition(wanted.removeprefix("#/$defs/")),
    "enum": _enum,
    "const": lambda wanted, schema, reader: _enum([wanted], schema, reader),
    "pattern": lambda wanted, schema, reader: _only(str, lambda value: re.search(wanted, value) is not None),
    "format": _format,
    "x-plausible": _plausible,
    "x-uncertainty": _uncertainty,
    "minimum": _number(lambda value, least: value >= least),
    "maximum": _number(lambda value, most: value <= most),
    "minItems": lambda wanted, schema, reader: _only(list, lambda value: len(value) >= wanted),
    "maxItems": lambda wanted, schema, reader: _only(list, lambda value: len(value) <= wanted),
    "required": lambda wanted, schema, reader: _only(dict, lambda value: all(key in value for key in wanted)),
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
