"""Writes plain data as YAML: one line in braces, or a block with one key a line."""

from __future__ import annotations

import json
import re
from decimal import Decimal
from typing import Any

from buildcheck.yamlio.scalars import ScalarError, resolve

_PLAIN = re.compile(r"[^\W_](?:[\w ./+±%-]*[\w./%])?")


def flow_text(value: Any) -> str:
    """A value on one line.

    >>> flow_text({"turns": Decimal("9.25"), "mark": {"from": "0.151 in"}, "void": "smeared: again", "by": "12"})
    '{turns: 9.25, mark: {from: 0.151 in}, void: "smeared: again", by: "12"}'
    """
    if isinstance(value, dict):
        return "{" + ", ".join(f"{key}: {flow_text(child)}" for key, child in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(flow_text, value)) + "]"
    if isinstance(value, str):
        return _scalar(value)
    return f"{value:f}" if isinstance(value, Decimal) else json.dumps(value)


def key_lines(mapping: dict[str, Any], indent: int) -> list[str]:
    """A mapping with one line for each key, and for each item of a list of mappings.

    >>> key_lines({"cylinder": 1, "trials": [{"turns": 9}]}, 2)
    ['  cylinder: 1', '  trials:', '    - {turns: 9}']
    """
    space, lines = " " * indent, []
    for key, child in mapping.items():
        if isinstance(child, list) and child and all(isinstance(item, dict) for item in child):
            lines += [f"{space}{key}:", *(line for item in child for line in item_lines(item, indent + 2))]
        else:
            lines.append(f"{space}{key}: {flow_text(child)}")
    return lines


def item_lines(value: Any, indent: int, dash: str = "- ") -> list[str]:
    """A list's item behind its dash: a trial or a clearance on one line, the entry of a valve on several.

    >>> item_lines({"turns": 9, "feel": "tight"}, 2)
    ['  - {turns: 9, feel: tight}']
    """
    if not isinstance(value, dict) or not any(map(_long, value.values())):
        return [f"{' ' * indent}{dash}{flow_text(value)}"]
    first, *more = key_lines(value, indent + len(dash))
    return [f"{' ' * indent}{dash}{first.lstrip(' ')}", *more]


def _long(value: Any) -> bool:
    """Whether a value of a mapping needs lines of its own: a list, or a mapping of mappings."""
    return isinstance(value, list) or (isinstance(value, dict) and len(value) > 2)


def _scalar(text: str) -> str:
    try:
        is_text = isinstance(resolve(text), str)
    except ScalarError:
        is_text = False
    return text if is_text and _PLAIN.fullmatch(text) else f'"{"".join(map(_quoted, text))}"'


def _quoted(character: str) -> str:
    """A character between double quotes: YAML has one escape for each length of code, and no pairs as JSON has."""
    if character in '"\\':
        return f"\\{character}"
    code = ord(character)
    escaped = f"\\x{code:02x}" if code < 0x100 else f"\\u{code:04x}" if code < 0x10000 else f"\\U{code:08x}"
    return character if character.isprintable() else escaped
