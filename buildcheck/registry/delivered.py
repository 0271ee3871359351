"""Named quantities of what was delivered, held against what was ordered."""

from __future__ import annotations

from collections.abc import Iterator

from buildcheck.build.facts import Facts
from buildcheck.build.length_conventions import minus, to_measured
from buildcheck.build.usual_gauges import LENGTH
from buildcheck.core.subject import Subject
from buildcheck.core.value import Undecided, Value, exact
from buildcheck.formulas.decision import ABSOLUTE_NOISE
from buildcheck.ordering.order import LENGTH_TOLERANCE, OrderLine, required_order
from buildcheck.units.quantity import show
from buildcheck.yamlio.nodes import Node

TOLERANCE = exact(0.002 * 0.0254, "length")
"""How far a delivered rod may be off its length where the maker's tolerance is not written."""


def delivered_run_out(facts: Facts, subject: Subject) -> Value:
    """Largest run-out among the delivered pushrods, m."""
    read = [(entry, entry.get("run_out")) for entry in _entries(facts)]
    known = [facts.reading(run_out, "length") for _, run_out in read if run_out is not None]
    if len(known) < len(read):
        raise facts.missing("as_built.delivered.run_out")
    return max(known, key=lambda value: value.si)


def delivered_off_order(facts: Facts, subject: Subject) -> Value:
    """Largest difference between a delivered pushrod and the nearest ordered length, m."""
    apart = [(minus(length, _ordered(_nearest(facts, length))), length) for _, length in _delivered(facts)]
    worst, length = max(apart, key=lambda pair: abs(pair[0].si))
    side = "longer" if worst.si > 0 else "shorter"
    remarks_found = (
        f"{show(length.si, 'length', facts.system)}, {side} than ordered" if abs(worst.si) > LENGTH_TOLERANCE else ""
    )
    return Value(abs(worst.si), "length", worst.parts, worst.places, remarks_found)


def delivery_tolerance(facts: Facts, subject: Subject) -> Value:
    """Largest difference allowed between a delivered pushrod and its length, m.

    It is the tolerance of the maker, or 0.002 in (common practice, no published source).
    """
    return facts.optional("pushrods.length_tolerance") or TOLERANCE


def rods_short(facts: Facts, subject: Subject) -> Value:
    """Number of pushrods that the valves need and that were not delivered; spares are not counted."""
    delivered, required = list(_delivered(facts)), required_order(facts)
    if not required.lines:
        raise Undecided("the order cannot be determined yet")
    short, remarks_found = 0, []
    for line in required.lines:
        came = sum(int(entry.word("count")) for entry, length in delivered if _is_of(facts, line, length))
        short += max(line.count - came, 0)
        stated = f"{show(line.length.stated, 'length', facts.system)} ({line.length.convention})"
        remarks_found.append(f"{line.count} of {stated} needed, {came} delivered")
    places = tuple(entry.place for entry, _ in delivered)
    if not short and required.unknown:
        raise Undecided(f"the length cannot be determined yet for {required.unknown[0][0].text}", places)
    return Value(float(short), "count", {}, places, "; ".join(remarks_found))


def _entries(facts: Facts) -> list[Node]:
    node = facts.node("as_built.delivered")
    if node is None or not node.items:
        raise facts.missing("as_built.delivered")
    return node.items


def _delivered(facts: Facts) -> Iterator[tuple[Node, Value]]:
    """Each entry with its length in the convention of ``measured_as``."""
    for entry in _entries(facts):
        written = facts.reading(entry.entries["length"], "length", facts.node("marks.length_gauge"), LENGTH)
        yield entry, to_measured(facts, written, entry.word("stated_as"), entry.get("gauge_hole"))


def _nearest(facts: Facts, length: Value) -> OrderLine:
    lines = required_order(facts).lines
    if not lines:
        raise Undecided("the order cannot be determined yet", length.places)
    return min(lines, key=lambda line: abs(line.length.measured - length.si))


def _is_of(facts: Facts, line: OrderLine, length: Value) -> bool:
    """Whether a rod can be one of an order line's: not off it by more than its tolerance and its gauge."""
    allowed = delivery_tolerance(facts, Subject()).si + length.expanded
    return _nearest(facts, length) is line and abs(length.si - line.length.measured) <= allowed + ABSOLUTE_NOISE


def _ordered(line: OrderLine) -> Value:
    return exact(line.length.measured, "length")
