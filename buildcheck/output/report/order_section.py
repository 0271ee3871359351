"""The report's section on what to order: the lengths, what the supplier must confirm, and what is left out."""

from __future__ import annotations

from collections.abc import Iterator

from buildcheck.app.build_check import CheckedBuild
from buildcheck.core.subject import Subject
from buildcheck.ordering.order import OrderLine
from buildcheck.output.report.adjuster_rows import settings
from buildcheck.output.supplier_order import gauge_question, pushrod_rows
from buildcheck.output.wording import risk_freedom_shown, risk_shown, subjects_text
from buildcheck.record import Record
from buildcheck.units.quantity import show


class OrderRow(Record):
    """One length to order: how many, how it is stated, and for which valves."""

    count: int
    spares: int
    length: str
    stated_as: str
    kind: str
    serves: str
    assumed: str


class UnknownLength(Record):
    """Valves without a known length, and the reason."""

    who: str
    reason: str


class OrderSection(Record):
    """The order as far as it is known; ``pushrod`` holds name and text of what all pushrods have in common."""

    rows: tuple[OrderRow, ...]
    pushrod: tuple[tuple[str, str], ...]
    questions: tuple[str, ...]
    risk: str
    risk_freedom: str
    adjuster: tuple[str, ...]
    unknown: tuple[UnknownLength, ...]


def order_section(checked: CheckedBuild) -> OrderSection:
    """The section of one build."""
    facts, lines, risk = checked.facts, checked.order.lines, risk_shown(checked)
    return OrderSection(
        rows=tuple(_row(line, facts.system) for line in lines),
        pushrod=tuple(pushrod_rows(facts)),
        questions=tuple(dict.fromkeys(gauge_question(facts, line) for line in lines)),
        risk=risk,
        risk_freedom=risk_freedom_shown(checked) if risk else "",
        adjuster=tuple(settings(facts)),
        unknown=tuple(_unknown(checked)),
    )


def _row(line: OrderLine, system: str) -> OrderRow:
    hole = line.length.gauge_hole
    return OrderRow(
        count=line.count,
        spares=line.spares,
        length=show(line.length.stated, "length", system),
        stated_as=line.length.stated_as + (f", hole {hole.value}" if hole is not None else ""),
        kind="stock" if line.length.stock else "made to length",
        serves=subjects_text(line.serves),
        assumed=subjects_text(line.assumed),
    )


def _unknown(checked: CheckedBuild) -> Iterator[UnknownLength]:
    valves: dict[str, list[Subject]] = {}
    for subject, why in checked.order.unknown:
        valves.setdefault(why.reason, []).append(subject)
    yield from (UnknownLength(subjects_text(subjects), reason) for reason, subjects in valves.items())
