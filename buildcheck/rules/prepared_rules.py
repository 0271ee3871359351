"""The shipped rules as plain data, so that a start need not parse them: written into the wheel when it is built.

The data count only for the version and the rule files that they were made from. Without them the files are parsed;
a checkout always does that, because there the code that reads rules may change as well. A team's rules are never
prepared.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from hashlib import sha256
from pathlib import Path
from typing import Any

from buildcheck import __version__
from buildcheck.core.problem import Place
from buildcheck.core.value import Value
from buildcheck.record import Record, field_values
from buildcheck.rules.expression import Literal, Magnitude, Name, Operation
from buildcheck.rules.rule import Example, Fix, Limit, Loosest, Rule

_CLASSES: dict[str, Any] = {
    kind.__name__: kind
    for kind in (Example, Fix, Limit, Literal, Loosest, Magnitude, Name, Operation, Place, Rule, Value)
}
_CLASSES["tuple"] = lambda *children: children
_CLASSES["list"] = lambda *children: list(children)


def encode_rules(rules: Iterable[Rule], key: str) -> str:
    """The rules as JSON, with the key of the files that they were read from."""
    return json.dumps({"key": key, "rules": [_encode(rule) for rule in rules]}, separators=(",", ":"))


def decode_rules(text: str, key: str) -> dict[str, Rule] | None:
    """The rules of a text by their ids; None if it was made from other files or by another version."""
    data = json.loads(text)
    return {rule.id: rule for rule in map(_decode, data["rules"])} if data["key"] == key else None


def key_of_rules(folder: Path, files: Iterable[Path]) -> str:
    """The digest of this version and of each file's path in its folder and content. Raises OSError."""
    digest = sha256(__version__.encode())
    for file in files:
        text = file.read_bytes()
        digest.update(f"\n{file.relative_to(folder).as_posix()} {len(text)}\n".encode())
        digest.update(text)
    return digest.hexdigest()


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
    if isinstance(data, dict):
        return {key: _decode(child) for key, child in data.items()}
    if not isinstance(data, list):
        return data
    return _CLASSES[data[0]](*map(_decode, data[1:]))
