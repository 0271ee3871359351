"""The instrument that would decide a rule which the uncertainty of a reading leaves undecided."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from math import sqrt

from buildcheck.build.facts import Facts
from buildcheck.build.field_lookup import gauge_standard
from buildcheck.build.usual_gauges import MARK, USUAL
from buildcheck.core.problem import Place
from buildcheck.core.reason import Inconclusive
from buildcheck.core.subject import Subject
from buildcheck.core.value import FEW_READINGS, Value
from buildcheck.rules.results import Result
from buildcheck.yamlio.documents import Node

INSTRUMENTS = {
    "clearance": ("feeler", "dial"),
    "length": ("caliper", "micrometer"),
    "mark": ("loupe",),
}
"""What each kind of reading is usually taken with, the coarsest first."""
NAMES = {"dial": "dial indicator", "feeler": "feeler gauge", "loupe": "loupe with graticule"}
_KEYS = {"length": "length", "turns": "length", "from": "mark", "to": "mark", "shut_at": "mark", "open_at": "mark"}


@dataclass(frozen=True, slots=True)
class DecidingInstrument:
    """For an undecided result: the reading that it rests on most, the kind of that reading, and what would decide it.

    ``good_to``: expanded uncertainty (m) of a reading that would decide, None if no reading at this place would;
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
        reading = _most_uncertain_reading(facts, result.value)
        if reading is not None:
            yield _instrument(facts, result, result.value, result.reason.needed, *reading)


def _instrument(
    facts: Facts, result: Result, value: Value, needed: float, source: str, kind: str, place: Place
) -> DecidingInstrument:
    own = 2 * abs(value.parts[source])
    left = needed**2 - (value.expanded**2 - own**2)
    per_reading = own / (2 * gauge_standard(facts.node("marks.mark_gauge"), MARK)) if kind == "mark" else 1.0
    good_to = sqrt(left) / per_reading if left > 0 else None
    fit = [word for word in INSTRUMENTS[kind] if good_to is not None and USUAL[word] <= good_to]
    name = NAMES.get(fit[0], fit[0]) if fit else ""
    return DecidingInstrument(result.rule, result.subject, place, kind, good_to, name)


def _most_uncertain_reading(facts: Facts, value: Value) -> tuple[str, str, Place] | None:
    """The source of the largest part that is a gauge's reading, with its kind and place."""
    ranked = sorted(value.parts, key=lambda source: (-abs(value.parts[source]), source))
    places = {str(place): place for place in value.places}
    for source in ranked[:1]:
        place = places.get(source)
        kind = _kind(facts, place) if place is not None else ""
        if place is not None and kind:
            return source, kind, place
    return None


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
