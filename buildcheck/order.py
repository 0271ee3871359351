"""What to order: the fewest lengths that serve every valve, in the supplier's convention, with spares."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import combinations
from math import comb, floor
from statistics import median

from buildcheck.ends import from_measured, to_measured
from buildcheck.facts import Facts
from buildcheck.findings import Place
from buildcheck.intervals import Wanted, all_wanted
from buildcheck.quantity import parse
from buildcheck.reading import Node, plain
from buildcheck.subjects import Subject
from buildcheck.values import Undecided, Value

MOST_SETS = 20_000
MOST_LENGTHS = 2_001
"""Of one stock list; parts-consistent complains of longer ones."""
SAME = 1e-7


@dataclass(frozen=True, slots=True)
class Offer:
    """A length that can be bought: as measured, as its supplier states it, and in which convention."""

    measured: float
    stated: float
    stated_as: str
    gauge_hole: Node | None
    stock: bool


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


def order_if(facts: Facts, longer: Mapping[str | None, float]) -> Order:
    """The order if each valve type asked for rods longer by so much, m; a length already chosen does not count."""
    known, unknown = wants(facts)
    moved = [want.longer(longer[want.subject.valve]) for want in known]
    return Order(_lines(facts, _assign(moved, stock(facts), facts)), tuple(unknown))


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
    found: tuple[list[Wanted], list[tuple[Subject, Undecided]]] = facts.once("wants", lambda: all_wanted(facts))
    return found


def _make(facts: Facts) -> Order:
    known, unknown = wants(facts)
    served: list[tuple[Wanted, Offer]] = []
    if facts.node("pushrods.chosen") is None:
        try:
            served = list(_assign(known, stock(facts), facts))
        except Undecided as reason:  # no rods described at all
            unknown = [*unknown, *((want.subject, reason) for want in known)]
        return Order(_lines(facts, served), tuple(unknown))
    for want in known:
        try:
            served.append((want, _chosen(facts, want.subject)))
        except Undecided as reason:
            unknown = [*unknown, (want.subject, reason)]
    return Order(_lines(facts, served), tuple(unknown))


def _lines(facts: Facts, served: Iterable[tuple[Wanted, Offer]]) -> tuple[Line, ...]:
    spares = facts.node("pushrods.spares")
    groups: dict[tuple[str, int], list[tuple[Wanted, Offer]]] = {}
    for want, offer in served:
        groups.setdefault((offer.stated_as, round(offer.stated / SAME)), []).append((want, offer))
    return tuple(
        Line(
            group[0][1],
            tuple(want.subject for want, _ in group if not want.assumed),
            tuple(want.subject for want, _ in group if want.assumed),
            int(plain(spares)) if spares is not None else 0,
        )
        for _, group in sorted(groups.items(), key=lambda item: (item[1][0][1].measured, item[0]))
    )


def _assign(wants: list[Wanted], stock: list[Offer], facts: Facts) -> Iterator[tuple[Wanted, Offer]]:
    fits = [want for want in wants if any(want.allows(offer.measured) for offer in stock)]
    rest = [want for want in wants if want not in fits]
    if fits:
        chosen = _fewest(fits, [offer for offer in stock if any(want.allows(offer.measured) for want in fits)])
        yield from _by_type(fits, chosen)
    for group in _sharing(rest):
        yield from ((want, _made(facts, group)) for want in group)


def _fewest(wants: list[Wanted], stock: list[Offer]) -> tuple[Offer, ...]:
    """The fewest lengths that serve all; among equals, least mixed within a valve type, then nearest what is asked."""
    for size in range(1, len(wants) + 1):
        if comb(len(stock), size) > MOST_SETS:
            break
        sets = [
            each for each in combinations(stock, size) if all(any(w.allows(o.measured) for o in each) for w in wants)
        ]
        if sets:
            return min(sets, key=lambda each: _cost(wants, each))
    return _greedy(wants, stock)


def _greedy(wants: list[Wanted], stock: list[Offer]) -> tuple[Offer, ...]:
    """Intervals by their upper end, each not yet served taking the largest length not above it."""
    taken: list[Offer] = []
    for want in sorted(wants, key=lambda want: want.intervals[-1][1]):
        if not any(want.allows(offer.measured) for offer in taken):
            taken.append(max((o for o in stock if want.allows(o.measured)), key=lambda offer: offer.measured))
    return tuple(taken)


def _cost(wants: list[Wanted], offers: tuple[Offer, ...]) -> tuple[int, float, float]:
    served = list(_by_type(wants, offers))
    mixed = len({(want.subject.valve, offer.measured) for want, offer in served})
    away = sum(want.away(offer.measured) for want, offer in served)
    return mixed, round(away, 9), served[0][1].measured


def _by_type(wants: list[Wanted], offers: tuple[Offer, ...]) -> Iterator[tuple[Wanted, Offer]]:
    """One length a valve type where one serves them all; else each valve the nearest."""
    for valve in dict.fromkeys(want.subject.valve for want in wants):
        own = [want for want in wants if want.subject.valve == valve]
        common = [offer for offer in offers if all(want.allows(offer.measured) for want in own)]
        for want in own:
            able = common or [offer for offer in offers if want.allows(offer.measured)]
            group = own if common else [want]
            yield (
                want,
                min(able, key=lambda o: (round(sum(w.away(o.measured) for w in group), 9), o.measured)),
            )


def _sharing(wants: list[Wanted]) -> Iterator[list[Wanted]]:
    """Valves that no stock length serves, grouped where one made length would."""
    rest = sorted(wants, key=lambda want: (want.intervals[-1][1], want.subject.order))
    while rest:
        top = rest[0].intervals[-1][1]
        group = [want for want in rest if want.allows(top)]
        yield group
        rest = [want for want in rest if want not in group]


def _made(facts: Facts, group: list[Wanted]) -> Offer:
    """A length made to order: the group's median, kept inside what all of it allows."""
    low = max(want.intervals[-1][0] for want in group)
    high = min(want.intervals[-1][1] for want in group)
    ideal = min(max(median(want.asked for want in group), low), high)
    return Offer(ideal, ideal, facts.text("pushrods.measured_as"), facts.node("pushrods.gauge_hole"), False)


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
