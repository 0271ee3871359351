"""Puts what a schema refuses into words: the value as written, what would do, the place of key or value."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any, cast

from jsonschema import ValidationError

from buildcheck.core.problem import Problem
from buildcheck.schema.fields import Schema, resolved
from buildcheck.schema.near_miss import suggest
from buildcheck.units.quantity import QuantityError, check_format, quoted
from buildcheck.yamlio.documents import Node, dotted, find

Keys = tuple[str | int, ...]

_TYPES = {
    "array": "a list",
    "boolean": "true or false",
    "integer": "a whole number",
    "null": "nothing",
    "number": "a plain number",
    "object": "a mapping",
    "string": "text",
}
_WORDS = r"[^\W_\u115f\u1160\u3164\uffa0]{2}"
"""Two letters or digits that can be seen, one after the other."""
_PATTERNS = {
    _WORDS: "the reason, or the role, in words",
    rf"^(?=[^\r\n]*{_WORDS})[^\r\n]+(?![\s\S])": "the reason, or the role, in words on one line",
    r"\S": "some text",
    r"^[^\r\n]+(?![\s\S])": "one line of text",
    r"^(?!/|(?:[^\r\n]*/)?\.\.(?![^/]))[^\r\n]+(?![\s\S])": "a path such as engines/*, with no / in front and no ..",
    r"^[A-Za-z0-9_][A-Za-z0-9_. -]*\.md(?![\s\S])": "a plain file name that ends in .md, such as REPORT.md",
    r"^[a-z0-9]+(-[a-z0-9]+)*(?![\s\S])": "small letters, digits and hyphens",
    r"^[a-z0-9]+(-[a-z0-9]+)*$": "small letters, digits and hyphens",
    r"^[0-9]{4}-[0-9]{2}-[0-9]{2}(?![\s\S])": "year-month-day, such as 2026-11-20",
    r"^https?://[^\s]+(?![\s\S])": "an address that begins with https://",
}


def problems(error: ValidationError, root: Node, definitions: Schema) -> Iterator[Problem]:
    """What one refusal of the schema means, given the schema's definitions: a problem for each key or value."""
    keys: Keys = tuple(error.absolute_path)
    schema = cast("Schema", error.schema)
    if "propertyNames" in error.absolute_schema_path:
        name = str(error.instance)
        yield _at_key(root, (*keys, name), f"found {quoted(name)}; write {schema['description']}")
    elif error.validator == "additionalProperties":
        yield from _unknown(schema, _node(root, keys), keys)
    elif error.validator == "required" and "properties" in schema and "title" in schema:
        yield from _missing(schema, definitions, _node(root, keys), keys)
    elif error.validator == "not":
        yield _at_key(root, keys, schema["description"])
    else:
        node = _node(root, keys)
        if not (keys and _after_comma(_node(root, keys[:-1]), keys[-1])):  # reported with the key that is none
            yield Problem(node.place, _path(keys), _words(error, schema, node))


def _path(keys: Keys) -> str:
    """The path in dots, keys with control characters spelled out."""
    return dotted([key if isinstance(key, int) else quoted(key)[1:-1] for key in keys])


def _node(root: Node, keys: Keys) -> Node:
    node = find(root, keys)
    assert node is not None, keys
    return node


def _at_key(root: Node, keys: Keys, message: str) -> Problem:
    parent = _node(root, keys[:-1])
    return Problem(parent.key_places.get(str(keys[-1]), parent.place), _path(keys), message)


def _unknown(schema: Schema, node: Node, keys: Keys) -> Iterator[Problem]:
    known = _fields(schema)
    cut = {behind: key for key in node.key_positions if (behind := _after_comma(node, key))}
    for key, place in node.key_places.items():
        if key in cut:
            value, joined = node.entries[cut[key]], f"{node.entries[cut[key]].text}.{key}"
            message = f"a comma separates entries here: write {quoted(joined)}"
            yield Problem(value.place, _path((*keys, cut[key])), message)
        elif (text := _text_before(schema, node, key)) is not None:
            quote = f"{node.entries[text].value}, {key}"
            message = f'a comma ends a text without quotes here: quote the {text}, "{quote}"'
            yield Problem(node.entries[text].place, _path((*keys, text)), message)
        elif key not in schema["properties"]:
            near = suggest(key, known)
            answer = f"did you mean {near}?" if near else f"known here: {', '.join(known)}"
            yield Problem(place, _path((*keys, key)), f"unknown key {quoted(key)}; {answer}")


def _text_before(schema: Schema, node: Node, key: str | int) -> str | None:
    """The note or part in front of an unknown key without a value: ``{note: wide, and off centre}``; None elsewhere."""
    names = list(node.entries)
    place = names.index(key) if key in names else 0
    before = names[place - 1] if place else None
    if key in schema["properties"] or before is None or node.entries[str(key)].value is not None:
        return None
    field = schema["properties"].get(before, {})
    return (
        str(before) if before in ("note", "part") or (field.get("type") == "string" and "format" not in field) else None
    )


def _after_comma(node: Node, key: str | int) -> str:
    """The key that is none, but the rest after a value's decimal comma: ``{bore: 81,5 mm}``; empty elsewhere."""
    names = list(node.entries)
    behind = names[names.index(key) + 1 :][:1] if key in names else []
    cut = [name for name in behind if name[:1].isdecimal() and node.entries[name].value is None]
    return cut[0] if cut and node.entries[str(key)].text.lstrip("+-").isdecimal() else ""


def _missing(schema: Schema, definitions: Schema, node: Node, keys: Keys) -> Iterator[Problem]:
    for key in schema["required"]:
        if key not in node.key_positions:
            field = schema["properties"][key]
            expected = _expected_text(resolved(field, definitions))
            yield Problem(node.place, _path((*keys, key)), f"'{key}' is missing: write {expected}")


def _words(error: ValidationError, schema: Schema, node: Node) -> str:
    if error.validator in ("format", "x-plausible", "x-uncertainty"):
        return str(error.cause or error.message)
    say = _SAYS.get(str(error.validator))
    return say(schema, node) if say else str(schema["description"])  # a branch describes what it requires


def _type(schema: Schema, node: Node) -> str:
    if node.value is None:
        return f"this key is empty: enter {_expected_text(schema)}, or remove the key"
    if lacking := _lacks_unit(schema, node):
        return lacking
    quotes = ", in quotes" if node.text and _is_text(schema) else ""
    return f"found {_found(node)}; write {_expected_text(schema)}{quotes}"


def _found(node: Node) -> str:
    if isinstance(node.value, dict | list):
        return _TYPES["object" if isinstance(node.value, dict) else "array"]
    return f"the text {quoted(node.value)}" if isinstance(node.value, str) else quoted(node.text)


def _lacks_unit(schema: Schema, node: Node) -> str:
    """A bare number where a unit is needed: the reader of quantities says which units would do."""
    if "format" not in schema or isinstance(node.value, bool | dict | list):
        return ""
    try:
        check_format(schema["format"], node.text)
    except QuantityError as refusal:
        return str(refusal)
    return ""


def _enum(schema: Schema, node: Node) -> str:
    near = suggest(node.text, [one for one in schema["enum"] if isinstance(one, str)])
    hint = f"; did you mean {near}?" if near else ""
    because = "" if "title" in schema else f": {schema['description']}"
    return f"found {quoted(node.text)}; write {_choices(schema['enum'])}{because}{hint}"


def _bounds(schema: Schema, node: Node) -> str:
    expected = _TYPES["integer" if schema["type"] == "integer" else "number"]
    return f"found {quoted(node.text)}; write {expected} from {schema['minimum']} to {schema['maximum']}"


def _min_items(schema: Schema, node: Node) -> str:
    return "the list is empty: write at least one entry"


def _max_items(schema: Schema, node: Node) -> str:
    return f"found {len(node.items)} entries; no build needs more than {schema['maxItems']} here"


def _pattern(schema: Schema, node: Node) -> str:
    return f"found {quoted(str(node.value))}; write {_PATTERNS[schema['pattern']]}"


_SAYS: Mapping[str, Callable[[Schema, Node], str]] = {
    "enum": _enum,
    "maxItems": _max_items,
    "maximum": _bounds,
    "minItems": _min_items,
    "minimum": _bounds,
    "pattern": _pattern,
    "type": _type,
}


def _is_text(schema: Schema) -> bool:
    return schema.get("type") == "string" and "format" not in schema and "enum" not in schema


def _expected_text(schema: Schema) -> str:
    """What would do for this field, in a few words."""
    if "enum" in schema:
        return _choices(schema["enum"])
    if "format" in schema and schema["format"] != "thread":
        return f"{_article(schema['format'])} with its unit"
    if "format" in schema:
        return "a thread such as 3/8-24 or M8x1.25"
    types = schema.get("type", "object")
    names = [types] if isinstance(types, str) else types
    words = " or ".join(_TYPES[name] for name in names)
    inside = schema.get("required") or _fields(schema)
    return f"{words} ({', '.join(inside)})" if "object" in names and inside else words


def _fields(schema: Schema) -> list[str]:
    """A mapping's own fields, without those that every mapping may carry."""
    return [key for key in schema.get("properties", {}) if key not in ("note", "part")]


def _article(kind: str) -> str:
    return f"an {kind}" if kind == "angle" else f"a {kind}"


def _choices(values: Sequence[Any]) -> str:
    words = ["true" if value is True else str(value) for value in values]
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} or {words[-1]}"
