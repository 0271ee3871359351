"""What is doubtful about a new trial before it is written: values that the valve tip rules out."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, NamedTuple

from buildcheck.build.facts import Facts
from buildcheck.build.mark_plausibility import PAST_EDGE
from buildcheck.build.trial_reading import LINES
from buildcheck.core.subject import Subject
from buildcheck.units.quantity import in_si, parse, show
from buildcheck.units.unit_table import UNITS, from_base
from buildcheck.yamlio.documents import Node

FAR = 2 * 0.0254
"""How far (m) a length may be from the last one, or from the checker at its shortest, without being questioned.

Common practice, no published source.
"""


class Doubt(NamedTuple):
    """Why a value is doubtful, and the value that was probably meant, if there is one. ``key``: which value."""

    key: str
    reason: str
    meant: str = ""

    @property
    def text(self) -> str:
        """The reason, with what was probably meant."""
        return f"{self.reason}; did you mean {self.meant}?" if self.meant else self.reason


def doubts(facts: Facts, subject: Subject, values: dict[str, Any]) -> Iterator[Doubt]:
    """Everything that is doubtful about a trial's values, as marks.yaml takes them."""
    mark = values.get("mark", {})
    on_tip = {**mark, **{key: values[key] for key in LINES if key in values}}
    found = [_beyond(facts, subject, key, text) for key, text in on_tip.items()]
    found += [_far(facts, subject, values["length"]) if "length" in values else None]
    yield from (one for one in found if one is not None)
    if mark and _si(mark["from"]) > _si(mark["to"]):
        reason = f"the far edge ({mark['to']}) lies nearer to the pivot than the near edge ({mark['from']})"
        yield Doubt("mark", reason, f"{mark['to']} to {mark['from']}")
    most = facts.optional("pushrods.checker.most_turns")
    if most is not None and "turns" in values and values["turns"] > most.si:
        yield Doubt("turns", f"the checking pushrod has {most.si:g} turns, not {values['turns']}")


def _far(facts: Facts, subject: Subject, text: str) -> Doubt | None:
    """A length far from the last one of the same valve type, which a slipped decimal point explains."""
    reference = _reference(facts, subject)
    if reference is None or abs(_si(text) - (near := _si(reference[0]))) <= FAR:
        return None
    amount = parse(text, "length")
    shifted = (
        from_base(si, UNITS[amount.unit]) for si in (amount.si / 10, amount.si * 10) if abs(float(si) - near) <= FAR
    )
    meant = next((f"{value.normalize():f} {amount.unit}" for value in shifted), "")
    return Doubt("length", f"{text} is far from {reference[1]}, {reference[0].partition(' +/-')[0]}", meant)


def _reference(facts: Facts, subject: Subject) -> tuple[str, str] | None:
    """A length that a new one must be near, and what it is; None if the files have neither."""
    if others := [str(node.value) for node in _lengths(facts, subject)]:
        return others[-1], "the last length"
    shortest = facts.node("pushrods.checker.length_at_zero_turns")
    return (str(shortest.value), "the checking pushrod at its shortest") if shortest is not None else None


def _lengths(facts: Facts, subject: Subject) -> Iterator[Node]:
    valves = facts.node("marks.valves")
    for entry in valves.items if valves is not None else ():
        trials = entry.get("trials")
        for trial in trials.items if trials is not None and entry.word("valve") == subject.valve else ():
            if (length := trial.get("length")) is not None:
                yield length


def _beyond(facts: Facts, subject: Subject, key: str, text: str) -> Doubt | None:
    """A reading that lies beyond the tip; a mark may pass its edge by a little: it has run off."""
    tip = facts.get_or_none("tip_diameter", subject)
    if tip is None or _si(text) - tip.si <= max(PAST_EDGE, tip.expanded):
        return None
    reason = f"{text} lies beyond the {show(tip.si, 'length', facts.system, -1)} tip"
    return Doubt(key, reason, a_tenth(text, tip.si))


def a_tenth(text: str, most: float) -> str:
    """A length with its decimal point one place to the left; empty if that is more than ``most`` (m).

    >>> a_tenth("0.51 in", 0.0079), a_tenth("5.1 in", 0.0079)
    ('0.051 in', '')
    """
    amount = parse(text, "length")
    tenth = amount.si / 10
    return f"{from_base(tenth, UNITS[amount.unit]).normalize():f} {amount.unit}" if float(tenth) <= most else ""


def _si(text: str) -> float:
    return in_si(text, "length")[0]
