"""Builds nodes from the parser's events in one pass, within limits, and refuses what no build needs."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache
from typing import Any

from ruamel.yaml.error import YAMLError
from ruamel.yaml.events import (
    AliasEvent,
    DocumentStartEvent,
    MappingEndEvent,
    MappingStartEvent,
    ScalarEvent,
    SequenceEndEvent,
    SequenceStartEvent,
    StreamEndEvent,
)

from buildcheck.core.problem import Place, Problem
from buildcheck.units.number import quoted
from buildcheck.yamlio.nodes import Node, dotted
from buildcheck.yamlio.parser_messages import place_and_message
from buildcheck.yamlio.parsers import ParserMismatch, PureEvents, c_parser_safe, compiled_events
from buildcheck.yamlio.scalars import ScalarError, resolve
from buildcheck.yamlio.yaml_text import place_at

DEPTH = 32
NODES = 20_000
MOST_REPORTED = 100
_QUOTES = ("'", '"')
_NO_CHARACTER = re.compile(r"\\U(?!000|0010)[0-9a-fA-F]{8}")


class _Stop(Exception):
    """Nothing more is read; the problem that says why has been noted."""


def compose(text: str, file: str) -> tuple[Node | None, list[Problem]]:
    """The root of a text's one document, and every problem met on the way to its end.

    The compiled parser's word is taken only where it finds nothing wrong: what is wrong the pure one reports.
    """
    if c_parser_safe(text):
        root, problems = _composed(compiled_events(text), text, file)
        if root is not None and not problems:
            return root, problems
    return _composed(PureEvents(text), text, file)


def _composed(events: Iterator[Any], text: str, file: str) -> tuple[Node | None, list[Problem]]:
    composer = _Composer(events, file, refuse_empty=not isinstance(events, PureEvents))
    try:
        root = composer.document()
    except _Stop:
        root = None
    except YAMLError as error:
        line, column, message = place_and_message(error, text)
        composer.problems.append(Problem(Place(file, line, column), "", message))
        root = None
    except ValueError:  # the parser turns "\U00110000" into a character without looking
        index = events.index if isinstance(events, PureEvents) else 0
        found = _NO_CHARACTER.search(text, index)
        place = place_at(text, found.start() if found else index, file)
        composer.problems.append(Problem(place, "", "this escape names no character: write the character itself"))
        root = None
    return (root if composer.is_complete else None), composer.problems


class _Composer:
    def __init__(self, events: Iterator[Any], file: str, refuse_empty: bool) -> None:
        self.problems: list[Problem] = []
        self.is_complete = True
        self._next = events.__next__
        self._file = file
        self._refuse_empty = refuse_empty
        self._path: list[str | int] = []
        self._nodes = 0
        self._depth = 0

    def document(self) -> Node | None:
        root = None
        while not isinstance(event := self._next(), StreamEndEvent):
            if not isinstance(event, DocumentStartEvent):
                continue
            if self._nodes:
                self.note(event, "a second document begins here: one file holds one")
                raise _Stop
            first = self._next()
            empty = isinstance(first, ScalarEvent) and not first.style and not first.value
            node = self._node(first)
            root = None if empty else node
        return root

    def note(self, event: Any, message: str) -> None:
        self.problems.append(Problem(self._place(event), dotted(self._path), message))
        if len(self.problems) == MOST_REPORTED:
            raise _Stop

    def _place(self, event: Any) -> Place:
        mark = event.start_mark
        return Place(self._file, mark.line + 1, mark.column + 1)

    def _node(self, event: Any) -> Node:
        self._nodes += 1
        if self._nodes > NODES:
            self.note(event, f"more than {NODES} values: split the file")
            raise _Stop
        kind = type(event)
        if kind is AliasEvent:
            self.is_complete = False
            self.note(event, f"alias *{_cut(event.anchor)}: write the value out")
            return Node(self._place(event), None)
        if event.anchor is not None or event.ctag is not None:
            self._refuse_properties(event)
        if kind is ScalarEvent:
            return self._scalar(event)
        return self._collection(event)

    def _refuse_properties(self, event: Any) -> None:
        if event.anchor is not None:
            self.note(event, f"anchor &{_cut(event.anchor)}: write values out where they are used")
        if event.tag is not None:
            self.is_complete = False
            self.note(event, f"tag {_cut(str(event.tag))}: write the plain value")

    def _scalar(self, event: Any) -> Node:
        text: str = event.value
        if not text and self._refuse_empty and event.style not in _QUOTES:
            raise ParserMismatch("an empty value")
        if event.style == '"' and any("\ud800" <= c <= "\udfff" for c in text):
            self.note(event, "an escape such as \\ud800 is half a character: write the character itself")
            text = text.encode("utf-8", "replace").decode("utf-8")
        if event.style:  # the compiled parser has an empty one for a plain scalar
            return Node(self._place(event), text, text)
        try:
            return Node(self._place(event), resolve(text), text)
        except ScalarError as error:
            self.note(event, str(error))
            return Node(self._place(event), text, text)

    def _collection(self, event: Any) -> Node:
        """Depth is counted here and not by the path: keys can be collections too."""
        if self._depth == DEPTH:
            self.note(event, f"nested more than {DEPTH} deep: no build needs that")
            raise _Stop
        self._depth += 1
        node = self._mapping(event) if type(event) is MappingStartEvent else self._sequence(event)
        self._depth -= 1
        return node

    def _sequence(self, start: SequenceStartEvent) -> Node:
        items: list[Node] = []
        while type(event := self._next()) is not SequenceEndEvent:
            self._path.append(len(items))
            items.append(self._node(event))
            self._path.pop()
        return Node(self._place(start), items)

    def _mapping(self, start: MappingStartEvent) -> Node:
        children: dict[str, Node] = {}
        positions: dict[str, tuple[str, int, int]] = {}
        while type(event := self._next()) is not MappingEndEvent:
            key = self._key(event)
            self._path.append("?" if key is None else key)
            if key in positions:
                self.note(event, f"{quoted(key)} is written twice, first in line {positions[key][1]}: keep one")
            value = self._node(self._next())
            self._path.pop()
            if key is not None and key not in positions:
                mark = event.start_mark
                children[key], positions[key] = value, (self._file, mark.line + 1, mark.column + 1)
        return Node(self._place(start), children, "", positions)

    def _key(self, event: Any) -> str | None:
        """The key's text, None where it is no plain name (already noted then)."""
        is_plain = type(event) is ScalarEvent and not event.style and event.anchor is None and event.ctag is None
        if is_plain and _is_name(event.value) and self._nodes < NODES:  # almost every key
            self._nodes += 1
            return str(event.value)
        node = self._node(event)
        if isinstance(event, ScalarEvent) and not event.style and event.value == "<<":
            self.is_complete = False
            self.note(event, "merge key <<: write the values out")
        elif isinstance(node.value, str):
            return node.value
        elif isinstance(event, ScalarEvent):
            found = quoted(node.text) if node.text else "nothing"
            comma = "; write a decimal point, not a comma" if event.value.isdecimal() else ""
            self.note(event, f"a key must be a name, found {found}: put it in quotes if it is one{comma}")
        elif not isinstance(event, AliasEvent):
            self.note(event, "a key must be a name, found a list or mapping")
        return None


@lru_cache(maxsize=1000)
def _is_name(text: str) -> bool:
    """Whether a text without quotes is a word that means nothing else."""
    return text.isidentifier() and isinstance(resolve(text), str)


def _cut(name: str) -> str:
    return quoted(name, 30).strip("'")
