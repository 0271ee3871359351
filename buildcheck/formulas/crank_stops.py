"""The shortest pass over an engine: the fewest crank stops at which every valve is on the base circle of its lobe."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping, Sequence
from itertools import permutations

from buildcheck.formulas.base_circle import Heel, on_heel
from buildcheck.formulas.cam import CYCLE, apart, turn
from buildcheck.record import Record

Valve = tuple[int, str]


class CrankStop(Record):
    """One stop of the measuring plan: the crank angle, deg 0 to 720, and the valves to measure there."""

    crank: float
    valves: tuple[Valve, ...]


def measuring_plan(heels: Mapping[Valve, Heel]) -> list[CrankStop]:
    """Fewest crank stops at which every valve can be measured on its base circle, in crank order.

    Among plans with as few stops, the valve furthest from the middle of its base circle is as near to it as can be.

    >>> from buildcheck.formulas.base_circle import heel
    >>> measuring_plan({(1, "intake"): heel(108, 270), (1, "exhaust"): heel(604, 280)})
    [CrankStop(crank=716.0, valves=((1, 'exhaust'), (1, 'intake')))]
    """
    if not heels:
        return []
    fewest, distances = len(_fewest_stops(heels)), _useful_distances(heels)
    nearest = bisect_left(distances, -fewest, key=lambda far: -len(_fewest_stops(_narrowed(heels, far))))
    stops = _settled(_fewest_stops(_narrowed(heels, distances[nearest])), heels)
    return sorted(_settled(stops, heels), key=lambda stop: stop.crank)


def _narrowed(heels: Mapping[Valve, Heel], far: float) -> dict[Valve, Heel]:
    return {valve: Heel(window.middle, min(window.reach, far)) for valve, window in heels.items()}


def _useful_distances(heels: Mapping[Valve, Heel]) -> list[float]:
    """Distances from the middle at which two windows cut to them begin to touch, up to the whole windows."""
    widest = max(window.reach for window in heels.values())
    found = {0.0, widest}
    for one, other in permutations(heels.values(), 2):
        gap = (other.middle - one.middle) % CYCLE
        found |= {gap / 2, gap - one.reach, gap - other.reach}
    return sorted(far for far in found if 0 <= far <= widest)


def _fewest_stops(heels: Mapping[Valve, Heel]) -> list[CrankStop]:
    """Some best plan has every stop at the end of a window, so one of these starts begins a best plan."""
    return min((_stops_from(window, heels) for window in heels.values()), key=len)


def _stops_from(start: Heel, heels: Mapping[Valve, Heel]) -> list[CrankStop]:
    """From the end of one window on, always turning as far as the first window that is about to end."""
    crank, left, stops = start.middle + start.reach, dict(heels), []
    while left:
        served = tuple(valve for valve, window in left.items() if on_heel(crank, window))
        stops.append(CrankStop(crank % CYCLE, served))
        left = {valve: window for valve, window in left.items() if valve not in served}
        crank += min(((w.middle + w.reach - crank) % CYCLE for w in left.values()), default=0.0)
    return stops


def _settled(stops: Sequence[CrankStop], heels: Mapping[Valve, Heel]) -> list[CrankStop]:
    """Each valve at the stop nearest its middle, then each stop moved to suit its valves."""
    served: dict[float, list[Valve]] = {stop.crank: [] for stop in stops}
    for valve, window in sorted(heels.items()):
        served[min(served, key=lambda crank: apart(crank, window.middle))].append(valve)
    return [CrankStop(_best_crank(at, [heels[v] for v in valves]), tuple(valves)) for at, valves in served.items()]


def _best_crank(crank: float, windows: Sequence[Heel]) -> float:
    """Midway between the outermost middles, or as near to that as every window allows."""
    middles = [turn(crank, window.middle) for window in windows]
    first = max(middle - window.reach for middle, window in zip(middles, windows, strict=True))
    last = min(middle + window.reach for middle, window in zip(middles, windows, strict=True))
    return (crank + min(max((min(middles) + max(middles)) / 2, first), last)) % CYCLE
