"""Required, allowed and ordered length of every valve: for the table of valves and the strip chart."""

from __future__ import annotations

from buildcheck.app.build_check import CheckedBuild
from buildcheck.core.subject import Subject
from buildcheck.ordering.order import requirements_of
from buildcheck.record import Record
from buildcheck.units.quantity import show


class LengthRow(Record):
    """One valve, lengths in m: what it requires with its expanded uncertainty, what it allows, what is ordered."""

    text: str
    required: tuple[float, float] | None
    allowed: tuple[tuple[float, float], ...]
    ordered: float | None


def length_rows(checked: CheckedBuild) -> dict[Subject, LengthRow]:
    """One row a valve, by type; all lengths as the build measures its pushrods."""
    facts = checked.facts
    allowed = {want.subject: want.intervals for want in requirements_of(facts)[0]}
    ordered = {one: line.length.measured for line in checked.order.lines for one in (*line.serves, *line.assumed)}
    found = {}
    for subject in sorted(facts.subjects("valve"), key=lambda one: (one.order[1], one.order[0])):
        value = facts.get_or_none("length_asked", subject)
        required = (value.si, value.expanded) if value is not None else None
        text = f"{subject.valve} {subject.cylinder}"
        found[subject] = LengthRow(text, required, allowed.get(subject, ()), ordered.get(subject))
    return found


def allowed_shown(row: LengthRow, system: str) -> str:
    """``9.430 in to 9.470 in``; two intervals with 'or' between them."""
    return " or ".join(" to ".join(show(end, "length", system) for end in span) for span in row.allowed)
