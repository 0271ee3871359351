"""The instrument that would decide a rule which the uncertainty of a reading leaves undecided."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from math import hypot, sqrt

from buildcheck.build.facts import Facts
from buildcheck.build.field_lookup import gauge_standard
from buildcheck.build.usual_gauges import MARK, usual_instrument
from buildcheck.core.problem import Place
from buildcheck.core.reason import Inconclusive
from buildcheck.core.subject import Subject
from buildcheck.core.value import FEW_READINGS, Value
from buildcheck.record import Record
from buildcheck.rules.results import Result
from buildcheck.yamlio.documents import Node

_KEYS = {"length": "length", "turns": "length", "from": "mark", "to": "mark", "shut_at": "mark", "open_at": "mark"}


class DecidingInstrument(Record):
    """For an undecided result: the reading that it rests on most, the kind of that reading, and what would decide it.

    ``good_to``: expanded uncertainty (m) with which all its readings of that kind would decide, None if they would not;
    ``instrument``: a usual one that is good enough, empty if none is.
    """

    rule: str
    subject: Subject
    place: Place
    kind: str
    good_to: float | None
    instrument: str


def deciding_instruments(facts: Facts, results: Iterable[Result]) -> Iterator[DecidingInstrument]:
    """One for each result that the uncertainty of a reading leaves undecided."""
    for result in results:
        if result.value is None or not isinstance(result.reason, Inconclusive) or result.reason.needed is None:
            continue
        if any(source.startswith(FEW_READINGS) for source in result.value.parts):
            continue
        readings = _readings(facts, result.value)
        if readings:
            yield _instrument(facts, result, result.value, result.reason.needed, readings)


Reading = tuple[str, str, Place]
"""A source of uncertainty that is a gauge's reading, with its kind and place."""


def _instrument(
    facts: Facts, result: Result, value: Value, needed: float, readings: Sequence[Reading]
) -> DecidingInstrument:
    """How good all readings of the kind on which the result rests most must be, its other uncertainty unchanged."""
    first, kind, place = readings[0]
    alike = hypot(*(2 * value.parts[source] for source, of, _ in readings if of == kind))
    left = needed**2 - (value.expanded**2 - alike**2)
    now = 2 * gauge_standard(facts.node("marks.mark_gauge"), MARK) if kind == "mark" else 2 * abs(value.parts[first])
    good_to = now * sqrt(left) / alike if left > 0 else None
    name = usual_instrument(kind, good_to) if good_to is not None else ""
    return DecidingInstrument(result.rule, result.subject, place, kind, good_to, name)


def _readings(facts: Facts, value: Value) -> list[Reading]:
    """The readings of a value, the one with the largest part first; none if something else has a larger one."""
    ranked = sorted(value.parts, key=lambda source: (-abs(value.parts[source]), source))
    places = {str(place): place for place in value.places}
    known = [(source, places[source]) for source in ranked if source in places]
    found = [(source, kind, place) for source, place in known if (kind := _kind(facts, place))]
    return found if found and found[0][0] == ranked[0] else []


def _kind(facts: Facts, place: Place) -> str:
    """Of which kind the reading at a place is: by its file and its key."""
    if place.file == "clearances.yaml":
        return "clearance"
    root = facts.build.roots.get("marks") if place.file == "marks.yaml" else None
    return next((_KEYS[key] for key, node in _fields(root) if node.place == place and key in _KEYS), "") if root else ""


def _fields(node: Node) -> Iterator[tuple[str, Node]]:
    for key, child in node.entries.items():
        yield key, child
        yield from _fields(child)
    for item in node.items:
        yield from _fields(item)
