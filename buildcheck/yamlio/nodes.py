"""The nouns of reading: a value with its place, and a document made of them."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from decimal import Decimal
from types import MappingProxyType
from typing import Any, NamedTuple

from buildcheck.core.problem import Place, Problem
from buildcheck.record import Record


class Node(NamedTuple):
    """A value and its place; ``text`` is a scalar as written.

    ``key_positions``: file, line and column of each key; a ``Place`` is made of them for a message only.
    """

    place: Place
    value: dict[str, Node] | list[Node] | str | int | Decimal | bool | None
    text: str = ""
    key_positions: Mapping[str, tuple[str, int, int]] = MappingProxyType({})

    @property
    def key_places(self) -> dict[str, Place]:
        """The place of each key of a mapping."""
        return {key: Place(*position) for key, position in self.key_positions.items()}

    @property
    def entries(self) -> dict[str, Node]:
        """A mapping's values by key; empty for anything else."""
        return self.value if isinstance(self.value, dict) else {}

    @property
    def items(self) -> list[Node]:
        """A sequence's items; empty for anything else."""
        return self.value if isinstance(self.value, list) else []

    @property
    def children(self) -> Collection[Node]:
        """The values of a mapping or the items of a sequence; empty for anything else."""
        if isinstance(self.value, dict):
            return self.value.values()
        return self.value if isinstance(self.value, list) else ()

    def walk(self) -> list[Node]:
        """It and all that it holds, in the order of the file."""
        found = [self]
        for child in self.children:
            if isinstance(child.value, (dict, list)):
                found += child.walk()
            else:
                found.append(child)
        return found

    @property
    def size(self) -> int:
        """How many values it holds, itself included."""
        return 1 + sum(child.size for child in self.children)

    def get(self, key: str) -> Node | None:
        """A mapping's value, None where there is none."""
        value = self.value
        return value.get(key) if isinstance(value, dict) else None

    def word(self, key: str) -> str:
        """A mapping's scalar as text, empty where there is none."""
        value = self.value
        node = value.get(key) if isinstance(value, dict) else None
        return "" if node is None else str(node.value)


class Document(Record):
    """What one file says.

    ``root`` is None where the file could not be read to its end or leans on aliases or tags (then there are
    problems), and where nothing but comments is written (then there are none). ``text`` is the file as written.
    """

    file: str
    root: Node | None
    problems: tuple[Problem, ...] = ()
    text: str = ""


def as_written(node: Node) -> Any:
    """A node's values as text in plain data: no place, no quotes; 1.60 and 1.6 differ, as a reader sees them."""
    if isinstance(node.value, dict):
        return {key: as_written(child) for key, child in node.value.items()}
    if isinstance(node.value, list):
        return [as_written(child) for child in node.value]
    return node.value if isinstance(node.value, str) else node.text


def dotted(path: Sequence[str | int]) -> str:
    """Write a path inside a file.

    >>> dotted(["valves", 0, "trials", 1, "length"])
    'valves[0].trials[1].length'
    """
    return "".join(f"[{step}]" if isinstance(step, int) else f".{step}" for step in path).removeprefix(".")
