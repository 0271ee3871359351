"""What to order, by trying every set of stock lengths: the fewest, unmixed types first, then the nearest."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import combinations
from statistics import median_low

from allowed_lengths import Allowed, Engine, Span, allowed
from rod_conventions import stock_lengths

Key = tuple[int, str]
Stated = tuple[float, str, str]


def ordered(engine: Engine, wanted: dict[Key, Allowed]) -> dict[Key, Stated | None]:
    """For each valve the stock length as its supplier states it, or nothing where it must be made."""
    stock = stock_lengths(engine.data["pushrods"])
    served = {key: one for key, one in wanted.items() if any(inside(length, one.spans) for length in stock.values())}
    chosen = fewest(served, stock)
    return {key: chosen.get(key) for key in wanted}


def with_uncertainty(wanted: dict[Key, Allowed], by: float) -> dict[Key, Allowed]:
    """The same with every span longer by so much at both ends (m)."""
    return {key: Allowed(one.asked, [(low - by, high + by) for low, high in one.spans]) for key, one in wanted.items()}


def inside(length: float, spans: Iterable[Span]) -> bool:
    return any(low - 1e-9 <= length <= high + 1e-9 for low, high in spans)


def with_those_assumed(engine: Engine) -> dict[Key, Allowed]:
    """Measured valves, and the others as their neighbours: all of their type, in their bank where there are banks."""
    entries = engine.data["marks"]["valves"]
    known = {(entry["cylinder"], entry["valve"]): allowed(engine, entry) for entry in entries}
    block = engine.data["block"]
    banks = list(block["banks"].values()) if "banks" in block else [range(1, block["cylinders"] + 1)]
    for bank in banks:
        for valve in ("intake", "exhaust"):
            own = [known[cylinder, valve] for cylinder in bank if (cylinder, valve) in known]
            known |= {(cylinder, valve): together(own) for cylinder in bank if (cylinder, valve) not in known}
    return known


def together(neighbours: list[Allowed]) -> Allowed:
    """What all neighbours allow."""
    spans = neighbours[0].spans
    for other in neighbours[1:]:
        pairs = [(max(a, c), min(b, d)) for a, b in spans for c, d in other.spans]
        spans = [(low, high) for low, high in pairs if low <= high]
    return Allowed(median_low(one.asked for one in neighbours), spans)


def fewest(served: dict[Key, Allowed], stock: dict[Stated, float]) -> dict[Key, Stated]:
    useful = [one for one, length in stock.items() if any(inside(length, each.spans) for each in served.values())]
    for size in range(len(served) + 1):
        found = [
            given for chosen in combinations(useful, size) if (given := _served(served, stock, chosen)) is not None
        ]
        if found:
            return min(found, key=lambda given: (_mixed(given), _away(served, stock, given)))
    raise AssertionError("every valve left is served by a length")


def _served(
    served: dict[Key, Allowed], stock: dict[Stated, float], chosen: Iterable[Stated]
) -> dict[Key, Stated] | None:
    """One length for a whole valve type where one will do, else the nearest for each; nothing where one has none."""
    able = {key: {each for each in chosen if inside(stock[each], one.spans)} for key, one in served.items()}
    if not all(able.values()):
        return None
    given = {}
    for key, own in able.items():
        alike = [other for other in served if other[1] == key[1]]
        common = set.intersection(*(able[other] for other in alike))
        group = alike if common else [key]
        away = {each: sum(abs(stock[each] - served[other].asked) for other in group) for each in sorted(common or own)}
        given[key] = min(away, key=lambda each: away[each])
    return given


def _mixed(given: dict[Key, Stated]) -> int:
    return len({(valve, stated) for (_, valve), stated in given.items()})


def _away(served: dict[Key, Allowed], stock: dict[Stated, float], given: dict[Key, Stated]) -> float:
    return sum(abs(stock[stated] - served[key].asked) for key, stated in given.items())
