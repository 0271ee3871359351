"""What to order: the fewest lengths that serve every valve, in the supplier's convention, with spares."""

from __future__ import annotations

from collections.abc import Iterable
from math import floor

from buildcheck.build.facts import Facts
from buildcheck.build.length_conventions import from_measured, to_measured
from buildcheck.core.problem import Place
from buildcheck.core.subject import Subject
from buildcheck.core.value import Undecided, Value
from buildcheck.ordering.allowed_lengths import LengthRequirement, length_requirements
from buildcheck.ordering.fewest_lengths import AvailableLength, assign_lengths
from buildcheck.record import Record
from buildcheck.units.quantity import in_si
from buildcheck.yamlio.documents import plain

Served = list[tuple[LengthRequirement, AvailableLength]]
Unserved = list[tuple[Subject, Undecided]]

MAX_STOCK_LENGTHS = 2_001
"""Of one stock list; a longer one is a contradiction that the parts' rule reports."""
LENGTH_TOLERANCE = 1e-7


class OrderLine(Record):
    """One line of the order sheet."""

    length: AvailableLength
    serves: tuple[Subject, ...]
    assumed: tuple[Subject, ...]
    spares: int

    @property
    def count(self) -> int:
        """Rods needed, without spares."""
        return len(self.serves) + len(self.assumed)


class Order(Record):
    """Lines by length, and the valves without a length that can be determined yet, each with the reason."""

    lines: tuple[OrderLine, ...]
    unknown: tuple[tuple[Subject, Undecided], ...]


def order(facts: Facts) -> Order:
    """The order that the measurements ask for, or the lengths already chosen."""
    return facts.once("order", _compute_order, facts)


def required_order(facts: Facts) -> Order:
    """What every valve is to be given: the length chosen, even if its readings give none yet; else the order."""
    if facts.node("pushrods.chosen") is None:
        return order(facts)
    return facts.once("needed", _chosen_order, facts)


def proposed_length(facts: Facts, subject: Subject) -> Value:
    """The length that the order gives a valve, m as measured."""
    return Value(length_for(facts, subject).measured, "length")


def length_for(facts: Facts, subject: Subject) -> AvailableLength:
    """The order's length for a valve; Undecided where it has none yet."""
    for line in order(facts).lines:
        if subject in line.serves or subject in line.assumed:
            return line.length
    for other, reason in order(facts).unknown:
        if other == subject:
            raise reason
    raise Undecided(f"cylinder {subject.cylinder} {subject.valve} is in no order line")


def requirements_of(facts: Facts) -> tuple[list[LengthRequirement], list[tuple[Subject, Undecided]]]:
    """What every valve allows, and those still open: made once."""
    return facts.once("required lengths", length_requirements, facts)


def _compute_order(facts: Facts) -> Order:
    known, unknown = requirements_of(facts)
    if facts.node("pushrods.chosen") is not None:
        served, unserved = _assign_chosen(known, facts)
    else:
        served, unserved = _assign_proposed(known, facts)
    return _make_order(facts, served, [*unknown, *unserved])


def _chosen_order(facts: Facts) -> Order:
    all_valves = [LengthRequirement(valve, (), 0.0, False) for valve in facts.subjects("valve")]
    return _make_order(facts, *_assign_chosen(all_valves, facts))


def _make_order(facts: Facts, served: Served, unserved: Unserved) -> Order:
    return Order(_lines(facts, served), tuple(sorted(unserved, key=lambda pair: pair[0].order)))


def _assign_chosen(known: list[LengthRequirement], facts: Facts) -> tuple[Served, Unserved]:
    served: Served = []
    unserved: Unserved = []
    for need in known:
        try:
            served.append((need, _chosen(facts, need.subject)))
        except Undecided as reason:
            unserved.append((need.subject, reason))
    return served, unserved


def _assign_proposed(known: list[LengthRequirement], facts: Facts) -> tuple[Served, Unserved]:
    try:
        return list(assign_lengths(known, stock(facts), lambda length: _made_to_length(facts, length))), []
    except Undecided as reason:  # the stock cannot be read as lengths of these rods
        return [], [(need.subject, reason) for need in known]


def _lines(facts: Facts, served: Iterable[tuple[LengthRequirement, AvailableLength]]) -> tuple[OrderLine, ...]:
    spares = facts.node("pushrods.spares")
    groups: dict[tuple[str, int, int], list[tuple[LengthRequirement, AvailableLength]]] = {}
    for need, length in served:
        same = (length.stated_as, round(length.stated / LENGTH_TOLERANCE), round(length.measured / LENGTH_TOLERANCE))
        groups.setdefault(same, []).append((need, length))
    return tuple(
        OrderLine(
            group[0][1],
            tuple(need.subject for need, _ in group if not need.assumed),
            tuple(need.subject for need, _ in group if need.assumed),
            int(plain(spares)) if spares is not None else 0,
        )
        for _, group in sorted(groups.items(), key=lambda item: (item[1][0][1].measured, item[0]))
    )


def _made_to_length(facts: Facts, length: float) -> AvailableLength:
    return AvailableLength(length, length, facts.text("pushrods.measured_as"), facts.node("pushrods.gauge_hole"), False)


def stock(facts: Facts) -> list[AvailableLength]:
    """All lengths that can be bought off the shelf."""
    return facts.once("stock", _read_stock, facts)


def stock_places(facts: Facts) -> tuple[Place, ...]:
    """Where the stock list is written."""
    node = facts.node("pushrods.stock")
    return (node.place,) if node is not None else ()


def _read_stock(facts: Facts) -> list[AvailableLength]:
    node, found = facts.node("pushrods.stock"), []
    for entry in node.items if node is not None else ():
        first, last, step = (in_si(entry.word(key), "length")[0] for key in ("from", "to", "step"))
        stated_as, hole = entry.word("stated_as"), entry.get("gauge_hole")
        shift = to_measured(facts, Value(0.0, "length"), stated_as, hole).si
        for number in range(min(floor((last - first) / step + 1e-6) + 1, MAX_STOCK_LENGTHS)):
            stated = first + number * step
            found.append(AvailableLength(stated + shift, stated, stated_as, hole, True))
    return found


def _chosen(facts: Facts, subject: Subject) -> AvailableLength:
    chosen = facts.get("chosen_length", subject)
    written = facts.node("pushrods.chosen")
    assert written is not None
    stated_as, hole = written.word("stated_as"), written.get("gauge_hole")
    stated = from_measured(facts, chosen, stated_as, hole).si
    in_stock = any(abs(length.measured - chosen.si) < LENGTH_TOLERANCE for length in stock(facts))
    return AvailableLength(chosen.si, stated, stated_as, hole, in_stock)
