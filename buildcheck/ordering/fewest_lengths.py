"""The fewest pushrod lengths that serve every valve, out of those that can be bought; the rest made to length."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import combinations
from math import comb
from statistics import median

from buildcheck.ordering.allowed_lengths import Wanted
from buildcheck.yamlio.documents import Node

MOST_SETS = 20_000
"""So many sets of lengths are compared one by one; of more, only sets of the best length for each group of valves."""
MOST_STEPS = 2_000


@dataclass(frozen=True, slots=True)
class Offer:
    """A length that can be bought: as measured, as its supplier states it, and in which convention."""

    measured: float
    stated: float
    stated_as: str
    gauge_hole: Node | None
    stock: bool


Offers = tuple[Offer, ...]


def assign(wants: list[Wanted], stock: list[Offer], made: Callable[[float], Offer]) -> Iterator[tuple[Wanted, Offer]]:
    """Gives every valve its length: off the shelf where any serves it, else ``made`` to a length (m as measured)."""
    fits = [want for want in wants if any(want.allows(offer.measured) for offer in stock)]
    rest = [want for want in wants if want not in fits]
    if fits:
        useful = [offer for offer in stock if any(want.allows(offer.measured) for want in fits)]
        yield from _by_type(fits, _fewest(fits, useful))
    for group in _sharing(rest):
        yield from ((want, made(_ideal(group))) for want in group)


def _fewest(wants: list[Wanted], stock: list[Offer]) -> Offers:
    """The fewest lengths that serve all; among equals, least mixed within a valve type, then nearest what is asked."""
    greedy, best = _greedy(wants, stock), _best_of_each_group(wants, stock)
    size = len(greedy)
    if any(len(want.intervals) > 1 for want in wants):
        size = next((n for n in range(1, size) if any(_covers(wants, best, n))), size)
    sets = [greedy] if len(greedy) == size else []
    if comb(len(stock), size) <= MOST_SETS:
        sets += [each for each in combinations(stock, size) if all(_able(want, each) for want in wants)]
    else:
        sets += _covers(wants, best, size)
    return min(sets, key=lambda each: _cost(wants, each))


def _greedy(wants: list[Wanted], stock: list[Offer]) -> Offers:
    """Intervals by their upper end, each not yet served taking the largest length in it: fewest for one a valve."""
    taken: list[Offer] = []
    for want in sorted(wants, key=lambda want: want.intervals[-1][1]):
        if not _able(want, taken):
            taken.append(max(_able(want, stock), key=lambda offer: offer.measured))
    return tuple(taken)


def _best_of_each_group(wants: list[Wanted], stock: list[Offer]) -> list[Offer]:
    """Of all lengths that serve the same valves, the nearest to what they ask."""
    groups: dict[tuple[int, ...], list[Offer]] = {}
    for offer in stock:
        served = tuple(i for i, want in enumerate(wants) if want.allows(offer.measured))
        groups.setdefault(served, []).append(offer)
    return [min(own, key=lambda o: _away([wants[i] for i in served], o)) for served, own in groups.items()]


def _covers(wants: list[Wanted], stock: list[Offer], size: int, steps: Iterator[int] | None = None) -> Iterator[Offers]:
    """Sets of at most so many lengths that serve all, found by serving the valve with the least choice first."""
    steps = iter(range(MOST_STEPS)) if steps is None else steps
    if not wants:
        yield ()
    elif size:
        for offer in min((_able(want, stock) for want in wants), key=len):
            if next(steps, None) is None:
                return
            rest = [want for want in wants if not want.allows(offer.measured)]
            yield from ((offer, *others) for others in _covers(rest, stock, size - 1, steps))


def _able(want: Wanted, offers: list[Offer] | Offers) -> list[Offer]:
    return [offer for offer in offers if want.allows(offer.measured)]


def _away(wants: list[Wanted], offer: Offer) -> tuple[float, float]:
    return round(sum(want.away(offer.measured) for want in wants), 9), offer.measured


def _cost(wants: list[Wanted], offers: Offers) -> tuple[int, float, float]:
    served = list(_by_type(wants, offers))
    mixed = len({(want.subject.valve, offer.measured) for want, offer in served})
    away = sum(want.away(offer.measured) for want, offer in served)
    return mixed, round(away, 9), served[0][1].measured


def _by_type(wants: list[Wanted], offers: Offers) -> Iterator[tuple[Wanted, Offer]]:
    """One length a valve type where one serves them all; else each valve the nearest."""
    for valve in dict.fromkeys(want.subject.valve for want in wants):
        own = [want for want in wants if want.subject.valve == valve]
        common = [offer for offer in offers if all(want.allows(offer.measured) for want in own)]
        for want in own:
            able, group = (common, own) if common else (_able(want, offers), [want])
            yield want, min(able, key=lambda offer: _away(group, offer))


def _sharing(wants: list[Wanted]) -> Iterator[list[Wanted]]:
    """Valves that no stock length serves, grouped where one made length would."""
    rest = sorted(wants, key=lambda want: (want.intervals[-1][1], want.subject.order))
    while rest:
        first, top = rest[0], rest[0].intervals[-1][1]
        group = [want for want in rest if want is first or want.allows(top)]
        yield group
        rest = [want for want in rest if want not in group]


def _ideal(group: list[Wanted]) -> float:
    """A length made to order, m: the group's median, kept inside what all of it allows."""
    low = max(want.intervals[-1][0] for want in group)
    high = min(want.intervals[-1][1] for want in group)
    return min(max(median(want.asked for want in group), low), high)
