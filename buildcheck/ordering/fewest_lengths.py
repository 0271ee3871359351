"""The fewest pushrod lengths that serve every valve, out of those that can be bought; the rest made to length."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import combinations
from math import comb

from buildcheck.formulas.sample import median_of
from buildcheck.ordering.allowed_lengths import LengthRequirement
from buildcheck.record import Record
from buildcheck.yamlio.documents import Node

MAX_SETS = 20_000
"""So many sets of lengths are compared one by one; of more, only sets of the best length for each group of valves."""
MAX_STEPS = 2_000


class AvailableLength(Record):
    """A length that can be bought: as measured, as its supplier states it, and in which convention."""

    measured: float
    stated: float
    stated_as: str
    gauge_hole: Node | None
    stock: bool

    @property
    def convention(self) -> str:
        """How its supplier measures it, in words."""
        return f"{self.stated_as} length"


LengthSet = tuple[AvailableLength, ...]


def assign_lengths(
    needs: list[LengthRequirement], stock: list[AvailableLength], made: Callable[[float], AvailableLength]
) -> Iterator[tuple[LengthRequirement, AvailableLength]]:
    """Gives every valve its length: off the shelf where any serves it, else ``made`` to a length (m as measured)."""
    served_from_stock = [need for need in needs if any(need.allows(length.measured) for length in stock)]
    rest = [need for need in needs if not any(need is served for served in served_from_stock)]
    if served_from_stock:
        useful = [length for length in stock if any(need.allows(length.measured) for need in served_from_stock)]
        yield from _by_valve_type(served_from_stock, _fewest_lengths(served_from_stock, useful))
    for group in _groups_sharing_a_length(rest):
        yield from ((need, made(_made_length(group))) for need in group)


def _fewest_lengths(needs: list[LengthRequirement], stock: list[AvailableLength]) -> LengthSet:
    """The fewest lengths that serve all; among equals, least mixed within a valve type, then nearest what is asked."""
    greedy, best = _greedy(needs, stock), _best_of_each_group(needs, stock)
    size = len(greedy)
    if any(len(need.intervals) > 1 for need in needs):
        size = next((n for n in range(1, size) if any(_covering_sets(needs, best, n))), size)
    sets = [greedy] if len(greedy) == size else []
    if comb(len(stock), size) <= MAX_SETS:
        sets += [each for each in combinations(stock, size) if all(_candidates(need, each) for need in needs)]
    else:
        sets += _covering_sets(needs, best, size)
    return min(sets, key=lambda each: _cost(needs, each))


def _greedy(needs: list[LengthRequirement], stock: list[AvailableLength]) -> LengthSet:
    """Intervals by their upper end, each not yet served taking the largest length in it: fewest for one a valve."""
    chosen: list[AvailableLength] = []
    for need in sorted(needs, key=lambda need: need.intervals[-1][1]):
        if not _candidates(need, chosen):
            chosen.append(max(_candidates(need, stock), key=lambda length: length.measured))
    return tuple(chosen)


def _best_of_each_group(needs: list[LengthRequirement], stock: list[AvailableLength]) -> list[AvailableLength]:
    """Of all lengths that serve the same valves, the nearest to what they ask."""
    groups: dict[tuple[int, ...], list[AvailableLength]] = {}
    for length in stock:
        served = tuple(i for i, need in enumerate(needs) if need.allows(length.measured))
        groups.setdefault(served, []).append(length)
    return [_nearest([needs[i] for i in served], lengths) for served, lengths in groups.items()]


def _covering_sets(
    needs: list[LengthRequirement], stock: list[AvailableLength], size: int, steps: Iterator[int] | None = None
) -> Iterator[LengthSet]:
    """Sets of at most so many lengths that serve all, found by serving the valve with the least choice first."""
    steps = iter(range(MAX_STEPS)) if steps is None else steps
    if not needs:
        yield ()
    elif size:
        for length in min((_candidates(need, stock) for need in needs), key=len):
            if next(steps, None) is None:
                return
            rest = [need for need in needs if not need.allows(length.measured)]
            yield from ((length, *others) for others in _covering_sets(rest, stock, size - 1, steps))


def _candidates(need: LengthRequirement, offers: list[AvailableLength] | LengthSet) -> list[AvailableLength]:
    return [length for length in offers if need.allows(length.measured)]


def _total_distance(needs: list[LengthRequirement], length: AvailableLength) -> tuple[float, float]:
    return round(sum(need.distance(length.measured) for need in needs), 9), length.measured


def _nearest(needs: list[LengthRequirement], offers: list[AvailableLength]) -> AvailableLength:
    return min(offers, key=lambda length: _total_distance(needs, length))


def _cost(needs: list[LengthRequirement], offers: LengthSet) -> tuple[int, float, float]:
    served = list(_by_valve_type(needs, offers))
    mixed = len({(need.subject.valve, length.measured) for need, length in served})
    distance = sum(need.distance(length.measured) for need, length in served)
    return mixed, round(distance, 9), served[0][1].measured


def _by_valve_type(
    needs: list[LengthRequirement], offers: LengthSet
) -> Iterator[tuple[LengthRequirement, AvailableLength]]:
    """One length a valve type where one serves them all; else each valve the nearest."""
    for valve in dict.fromkeys(need.subject.valve for need in needs):
        of_type = [need for need in needs if need.subject.valve == valve]
        common = [length for length in offers if all(need.allows(length.measured) for need in of_type)]
        if common:
            shared = _nearest(of_type, common)
            yield from ((need, shared) for need in of_type)
        else:
            yield from ((need, _nearest([need], _candidates(need, offers))) for need in of_type)


def _groups_sharing_a_length(needs: list[LengthRequirement]) -> Iterator[list[LengthRequirement]]:
    """Valves that no stock length serves, grouped where one made length would."""
    rest = sorted(needs, key=lambda need: (need.intervals[-1][1], need.subject.order))
    while rest:
        first, top = rest[0], rest[0].intervals[-1][1]
        group = [need for need in rest if need is first or need.allows(top)]
        yield group
        rest = [need for need in rest if need not in group]


def _made_length(group: list[LengthRequirement]) -> float:
    """A length made to order, m: the group's median, kept inside what all of it allows."""
    low = max(need.intervals[-1][0] for need in group)
    high = min(need.intervals[-1][1] for need in group)
    return min(max(median_of(need.target for need in group), low), high)
