"""What to order: the fewest lengths that serve every valve, in the supplier's convention, with spares."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from math import floor

from buildcheck.build.facts import Facts
from buildcheck.build.length_conventions import from_measured, to_measured
from buildcheck.core.problem import Place
from buildcheck.core.subject import Subject
from buildcheck.core.value import Undecided, Value
from buildcheck.ordering.allowed_lengths import Wanted, all_wanted
from buildcheck.ordering.fewest_lengths import Offer, assign
from buildcheck.units.quantity import parse
from buildcheck.yamlio.documents import plain

Served = list[tuple[Wanted, Offer]]
Unserved = list[tuple[Subject, Undecided]]

MOST_LENGTHS = 2_001
"""Of one stock list; a longer one is a contradiction that the parts' rule reports."""
SAME = 1e-7


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the order sheet."""

    offer: Offer
    serves: tuple[Subject, ...]
    assumed: tuple[Subject, ...]
    spares: int

    @property
    def count(self) -> int:
        """Rods needed, without spares."""
        return len(self.serves) + len(self.assumed)


@dataclass(frozen=True, slots=True)
class Order:
    """Lines by length, and the valves whose length cannot be told yet, each with its reason."""

    lines: tuple[Line, ...]
    unknown: tuple[tuple[Subject, Undecided], ...]


def order(facts: Facts) -> Order:
    """The order that the measurements ask for, or the lengths already chosen."""
    made: Order = facts.once("order", lambda: _make(facts))
    return made


def needed(facts: Facts) -> Order:
    """What every valve is to be given: the length chosen, even where its readings tell none yet; else the order."""
    if facts.node("pushrods.chosen") is None:
        return order(facts)
    everyone = [Wanted(valve, (), 0.0, False) for valve in facts.subjects("valve")]
    found: Order = facts.once("needed", lambda: _told(facts, *_each_chosen(everyone, facts)))
    return found


def order_if(facts: Facts, longer: Mapping[str | None, float]) -> Order:
    """The order if each valve type asked for rods longer by so much, m; a length already chosen does not count."""
    known, unknown = wants(facts)
    moved = [want.longer(longer[want.subject.valve]) for want in known]
    served, unserved = _proposed(moved, facts)
    return _told(facts, served, [*unknown, *unserved])


def proposed_length(facts: Facts, subject: Subject) -> Value:
    """The length that the order gives a valve, m as measured."""
    return Value(offer_for(facts, subject).measured, "length")


def offer_for(facts: Facts, subject: Subject) -> Offer:
    """The order's length for a valve; Undecided where it has none yet."""
    for line in order(facts).lines:
        if subject in line.serves or subject in line.assumed:
            return line.offer
    for other, reason in order(facts).unknown:
        if other == subject:
            raise reason
    raise Undecided(f"cylinder {subject.cylinder} {subject.valve} is in no order line")


def wants(facts: Facts) -> tuple[list[Wanted], list[tuple[Subject, Undecided]]]:
    """What every valve allows, and those still open: made once."""
    found: tuple[list[Wanted], list[tuple[Subject, Undecided]]] = facts.once(
        "required lengths", lambda: all_wanted(facts)
    )
    return found


def _make(facts: Facts) -> Order:
    known, unknown = wants(facts)
    if facts.node("pushrods.chosen") is not None:
        served, unserved = _each_chosen(known, facts)
    else:
        served, unserved = _proposed(known, facts)
    return _told(facts, served, [*unknown, *unserved])


def _told(facts: Facts, served: Served, unserved: Unserved) -> Order:
    return Order(_lines(facts, served), tuple(sorted(unserved, key=lambda pair: pair[0].order)))


def _each_chosen(known: list[Wanted], facts: Facts) -> tuple[Served, Unserved]:
    served: Served = []
    unserved: Unserved = []
    for want in known:
        try:
            served.append((want, _chosen(facts, want.subject)))
        except Undecided as reason:
            unserved.append((want.subject, reason))
    return served, unserved


def _proposed(known: list[Wanted], facts: Facts) -> tuple[Served, Unserved]:
    try:
        return list(assign(known, stock(facts), lambda length: _made(facts, length))), []
    except Undecided as reason:  # the stock cannot be read as lengths of these rods
        return [], [(want.subject, reason) for want in known]


def _lines(facts: Facts, served: Iterable[tuple[Wanted, Offer]]) -> tuple[Line, ...]:
    spares = facts.node("pushrods.spares")
    groups: dict[tuple[str, int, int], list[tuple[Wanted, Offer]]] = {}
    for want, offer in served:
        same = (offer.stated_as, round(offer.stated / SAME), round(offer.measured / SAME))
        groups.setdefault(same, []).append((want, offer))
    return tuple(
        Line(
            group[0][1],
            tuple(want.subject for want, _ in group if not want.assumed),
            tuple(want.subject for want, _ in group if want.assumed),
            int(plain(spares)) if spares is not None else 0,
        )
        for _, group in sorted(groups.items(), key=lambda item: (item[1][0][1].measured, item[0]))
    )


def _made(facts: Facts, length: float) -> Offer:
    return Offer(length, length, facts.text("pushrods.measured_as"), facts.node("pushrods.gauge_hole"), False)


def stock(facts: Facts) -> list[Offer]:
    """All lengths that can be bought off the shelf."""
    found: list[Offer] = facts.once("stock", lambda: list(_read_stock(facts)))
    return found


def stock_places(facts: Facts) -> tuple[Place, ...]:
    """Where the stock list stands."""
    node = facts.node("pushrods.stock")
    return (node.place,) if node is not None else ()


def _read_stock(facts: Facts) -> Iterator[Offer]:
    node = facts.node("pushrods.stock")
    for entry in node.items if node is not None else ():
        first, last, step = (float(parse(entry.word(key), "length").si) for key in ("from", "to", "step"))
        stated_as, hole = entry.word("stated_as"), entry.get("gauge_hole")
        shift = to_measured(facts, Value(0.0, "length"), stated_as, hole).si
        for number in range(min(floor((last - first) / step + 1e-6) + 1, MOST_LENGTHS)):
            stated = first + number * step
            yield Offer(stated + shift, stated, stated_as, hole, True)


def _chosen(facts: Facts, subject: Subject) -> Offer:
    chosen = facts.get("chosen_length", subject)
    own = facts.node("pushrods.chosen")
    assert own is not None
    stated_as, hole = own.word("stated_as"), own.get("gauge_hole")
    stated = from_measured(facts, chosen, stated_as, hole).si
    in_stock = any(abs(offer.measured - chosen.si) < SAME for offer in stock(facts))
    return Offer(chosen.si, stated, stated_as, hole, in_stock)
