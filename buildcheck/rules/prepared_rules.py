"""The shipped rules as plain data, so that a start need not parse them: written into the wheel when it is built.

The data count only for the version and the rule files that they were made from. Without them the files are parsed;
a checkout always does that, because there the code that reads rules may change as well. A team's rules are never
prepared.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

from buildcheck import __version__
from buildcheck.core.problem import Place
from buildcheck.core.value import Value
from buildcheck.record import Record, field_values
from buildcheck.rules.expression import Literal, Magnitude, Name, Operation
from buildcheck.rules.rule import Example, Fix, Limit, Loosest, Rule

Key = dict[str, str]

_CLASSES: dict[str, Any] = {
    kind.__name__: kind
    for kind in (Example, Fix, Limit, Literal, Loosest, Magnitude, Name, Operation, Place, Rule, Value)
}
_CLASSES["tuple"] = lambda *children: children
_CLASSES["list"] = lambda *children: list(children)


def encode_rules(rules: Iterable[Rule], key: Key) -> str:
    """The rules as JSON, with the key of the files that they were read from."""
    return json.dumps({"key": key, "rules": [_encode(rule) for rule in rules]}, separators=(",", ":"))


def decode_rules(text: str, key: Key) -> dict[str, Rule] | None:
    """The rules of a text by their ids; None if it was made from other files or by another version."""
    data = json.loads(text)
    return {rule.id: rule for rule in map(_decode, data["rules"])} if data["key"] == key else None


def key_of_rules(folder: Path, files: Iterable[Path]) -> Key:
    """This version and each file's content by its path; no digest, as importing one takes longer. Raises OSError."""
    return {"version": __version__, **{_rel_path(folder, file): file.read_text(encoding="utf-8") for file in files}}


def _rel_path(folder: Path, file: Path) -> str:
    return file.relative_to(folder).as_posix()


def _encode(value: Any) -> Any:
    """An object for a mapping; a list for a record, a tuple or a list, which begins with the name of its class."""
    if isinstance(value, Mapping):
        return {key: _encode(child) for key, child in value.items()}
    if isinstance(value, Record):
        return [type(value).__name__, *map(_encode, field_values(value))]
    if isinstance(value, (tuple, list)):
        return [type(value).__name__, *map(_encode, value)]
    return value


def _decode(data: Any) -> Any:
    """A mapping, or a record, tuple or list; calling this for what is none of them would double its time."""
    if isinstance(data, dict):
        return {key: _decode(child) if isinstance(child, (dict, list)) else child for key, child in data.items()}
    return _CLASSES[data[0]](*[_decode(child) if isinstance(child, (dict, list)) else child for child in data[1:]])
