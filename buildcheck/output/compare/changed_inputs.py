"""Which inputs changed between two states of a build's files: old, new, and the new one's place."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from buildcheck.core.problem import Place
from buildcheck.record import Record
from buildcheck.schema.fields import field_kinds
from buildcheck.units.quantity import QuantityError, parse
from buildcheck.yamlio.documents import Node, plain

_REMARKS = ("note", "part")
_IDENTIFYING_KEYS = ("rule", "cylinder", "valve")


class InputChange(Record):
    """One value, entry or file that differs; ``before`` or ``after`` is empty where it is not there.

    ``place`` is the new state's, the old one's where it is gone. ``same``: the value is equal and only
    written otherwise (9.5 in, 241.3 mm); ``remark`` that it is free text, never judged.
    """

    place: Place
    path: str
    before: str
    after: str
    same: bool = False
    remark: bool = False

    @property
    def is_limit(self) -> bool:
        """Whether it is a limit that the build or the team set, not a fact of the engine."""
        return self.path.split(".")[0] == "limits"


def changed_inputs(before: Mapping[str, Node], after: Mapping[str, Node]) -> tuple[InputChange, ...]:
    """All that differs between two builds' files, file by file in the order of their paths."""
    found: list[InputChange] = []
    for name in sorted(before.keys() | after.keys()):
        found += _input_changes(before.get(name), after.get(name), [name])
    return tuple(found)


def _input_changes(before: Node | None, after: Node | None, path: list[str]) -> Iterator[InputChange]:
    if before is None or after is None:
        yield _input(before, after, path)
        return
    old, new = _children(before), _children(after)
    if old is None or new is None:
        if plain(before) != plain(after):
            yield _input(before, after, path)
        return
    for key in dict.fromkeys([*new, *old]):
        yield from _input_changes(old.get(key), new.get(key), [*path, key])


def _children(node: Node) -> Mapping[str, Node] | None:
    """A mapping's or a list's parts by what they are of, so that one more entry does not shift the rest."""
    if isinstance(node.value, dict):
        return node.value
    if isinstance(node.value, list):
        return _named(node.value)
    return None


def _named(items: list[Node]) -> Mapping[str, Node]:
    found: dict[str, Node] = {}
    for position, item in enumerate(items):
        identity = "/".join(word for key in _IDENTIFYING_KEYS if (word := item.word(key)))
        key = f"[{identity}]" if identity and f"[{identity}]" not in found else f"[{position}]"
        found[key] = item
    return found


def _input(before: Node | None, after: Node | None, path: list[str]) -> InputChange:
    node = after or before
    assert node is not None
    was, now = (flattened(each) if each is not None else "" for each in (before, after))
    kind = field_kinds().get(".".join(key for key in path if not key.startswith("[")), "")
    dotted = ".".join(path[1:]).replace(".[", "[")
    return InputChange(node.place, dotted, was, now, _same(was, now, kind), path[-1] in _REMARKS)


def _same(before: str, after: str, kind: str) -> bool:
    try:
        amounts = [parse(text, kind) for text in (before, after)]
    except (QuantityError, KeyError):
        return False
    return amounts[0].si == amounts[1].si and amounts[0].expanded == amounts[1].expanded


def flattened(node: Node) -> str:
    """A node on one line, free text left out: ``length 9.400 in, mark (from 0.144 in, to 0.173 in)``."""
    return _flat(node, plain(node))


def _flat(node: Node, data: Any) -> str:
    if isinstance(node.value, dict):
        parts = [(key, child) for key, child in node.value.items() if key not in _REMARKS]
        return ", ".join(f"{key} {_nested(child)}" for key, child in parts)
    if isinstance(node.value, list):
        return ", ".join(_nested(child) for child in node.value)
    return " ".join((data if isinstance(data, str) else node.text).split())


def _nested(node: Node) -> str:
    text = flattened(node)
    return f"({text})" if isinstance(node.value, dict | list) else text
