"""Where each value of a YAML text begins and ends, so that the text can be changed there and nowhere else."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from ruamel.yaml.events import MappingStartEvent, NodeEvent, ScalarEvent, SequenceStartEvent

from buildcheck.record import Record
from buildcheck.yamlio.parsers import PureEvents


class Span(Record):
    """A value between two indices of its text; ``end`` is behind its last character.

    ``flow``: written in brackets or braces. ``block_text``: written below ``|`` or ``>``. ``keys`` are the indices
    at which a mapping's keys begin.
    """

    start: int
    end: int
    flow: bool = False
    block_text: bool = False
    is_mapping: bool = False
    is_list: bool = False
    items: tuple[Span, ...] = ()
    entries: Mapping[str, Span] = {}
    keys: Mapping[str, int] = {}

    @property
    def last(self) -> Span:
        """The last value inside it that is no collection; itself if it holds nothing or is in brackets."""
        inside = self.items or tuple(self.entries.values())
        return self if self.flow or not inside else inside[-1].last

    def at(self, *path: str | int) -> Span:
        """The value at a path of keys and list positions. Raises KeyError or IndexError where there is none."""
        found = self
        for step in path:
            found = found.items[step] if isinstance(step, int) else found.entries[step]
        return found


def spans(text: str) -> Span | None:
    """The spans of a text's one document, None without a value. Raises YAMLError for a text that is no YAML."""
    events = PureEvents(text)
    nodes = (event for event in events if isinstance(event, NodeEvent))
    first = next(nodes, None)
    return None if first is None else _value(first, events)


def _value(event: Any, events: Iterator[Any]) -> Span:
    if isinstance(event, SequenceStartEvent):
        return _list(event, events)
    if isinstance(event, MappingStartEvent):
        return _mapping(event, events)
    block_text = isinstance(event, ScalarEvent) and event.style in ("|", ">")
    return Span(event.start_mark.index, event.end_mark.index, block_text=block_text)


def _list(start: Any, events: Iterator[Any]) -> Span:
    items = []
    while isinstance(event := next(events), NodeEvent):
        items.append(_value(event, events))
    end = event.end_mark.index if start.flow_style else items[-1].end
    return Span(start.start_mark.index, end, bool(start.flow_style), is_list=True, items=tuple(items))


def _mapping(start: Any, events: Iterator[Any]) -> Span:
    entries, keys = {}, {}
    while isinstance(event := next(events), NodeEvent):
        key = _value(event, events)
        name = event.value if isinstance(event, ScalarEvent) else ""
        entries[name], keys[name] = _value(next(events), events), key.start
    end = event.end_mark.index if start.flow_style else list(entries.values())[-1].end
    flow = bool(start.flow_style)
    return Span(start.start_mark.index, end, flow, is_mapping=True, entries=entries, keys=keys)
