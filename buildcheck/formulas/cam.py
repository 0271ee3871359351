"""When the valves move, and where to turn the crank so that each is on the heel of its lobe.

Crank angles count in the direction of running, 0 to 720, from cylinder 1's own firing TDC. ``advance`` is
how far the cam stands ahead of its card: intake centreline earlier, exhaust's further before TDC.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import permutations

CYCLE = 720.0
_EQUAL = 1e-9  # degrees

Valve = tuple[int, str]


def _half(duration: float) -> float:
    if not 0 < duration < CYCLE:
        raise ValueError(f"a valve cannot stay open for {duration:g} of 720 deg")
    return duration / 2


def intake_opens(duration: float, centreline: float, advance: float = 0.0) -> float:
    """Intake opening, deg before TDC; centreline in deg after TDC.

    Symmetrical lobes, seat-to-seat duration. Checked against TM 9-8000, ch. 2.

    >>> intake_opens(270, 108)
    27.0
    """
    return _half(duration) - (centreline - advance)


def intake_closes(duration: float, centreline: float, advance: float = 0.0) -> float:
    """Intake closing, deg after BDC; centreline in deg after TDC; symmetrical lobes.

    >>> intake_closes(270, 108)
    63.0
    """
    return _half(duration) + (centreline - advance) - 180


def exhaust_opens(duration: float, centreline: float, advance: float = 0.0) -> float:
    """Exhaust opening, deg before BDC; centreline in deg before TDC; symmetrical lobes.

    >>> exhaust_opens(280, 116)
    76.0
    """
    return _half(duration) + (centreline + advance) - 180


def exhaust_closes(duration: float, centreline: float, advance: float = 0.0) -> float:
    """Exhaust closing, deg after TDC; centreline in deg before TDC; symmetrical lobes.

    >>> exhaust_closes(280, 116)
    24.0
    """
    return _half(duration) - (centreline + advance)


def lobe_separation(intake_centreline: float, exhaust_centreline: float) -> float:
    """Angle between the lobes' noses, deg of cam; it is ground in, so advance does not change it.

    >>> lobe_separation(108, 116)
    112.0
    """
    return (intake_centreline + exhaust_centreline) / 2


def overlap(opens: float, closes: float) -> float:
    """Crank deg with both valves open: intake opening BTDC + exhaust closing ATDC; negative where neither is.

    Source: TM 9-8000, ch. 2, p. 2-35/2-36.

    >>> overlap(27, 24)
    51
    """
    return opens + closes


def firing_tdc(order: Sequence[int], intervals: Sequence[float] | None = None) -> dict[int, float]:
    """Crank deg of each cylinder's firing TDC, 0 to 720; cylinder 1 at zero wherever it stands in the order.

    ``intervals``: entry i is the gap in deg from the i-th firing to the next, 720 in all; even when left out.

    >>> firing_tdc([1, 3, 4, 2])
    {1: 0.0, 3: 180.0, 4: 360.0, 2: 540.0}
    """
    count = len(order)
    if not order or sorted(order) != list(range(1, count + 1)):
        raise ValueError(f"the firing order must name each cylinder from 1 to {count} once")
    gaps = [CYCLE / count] * count if intervals is None else list(intervals)
    if len(gaps) != count or min(gaps) < 0 or abs(sum(gaps) - CYCLE) > 1e-6:
        raise ValueError(f"{count} cylinders need {count} firing intervals that add to 720 deg")
    fires = dict(zip(order, (sum(gaps[:k]) for k in range(count)), strict=True))
    return {cylinder: (angle - fires[1]) % CYCLE for cylinder, angle in fires.items()}


def companion(cylinder: int, tdc: Mapping[int, float]) -> int | None:
    """The cylinder on overlap while this one stands at its firing TDC: its own firing TDC is 360 deg away.

    >>> companion(1, firing_tdc([1, 2, 4, 3]))
    4
    """
    for other, angle in tdc.items():
        if _apart(angle, tdc[cylinder] + 360) < 1e-6:
            return other
    return None


def both_shut_window(closes: float, opens: float, margin: float = 10.0) -> tuple[float, float]:
    """Deg from and to, about a cylinder's firing TDC, between which both its valves are shut with a margin.

    ``closes``: intake closing, deg after BDC; ``opens``: exhaust opening, deg before BDC.

    >>> both_shut_window(63, 76)
    (-107.0, 94.0)
    """
    first, last = -180 + closes + margin, 180 - opens - margin
    if first > last:
        raise ValueError("with this cam both valves are never shut together by that margin")
    return first, last


@dataclass(frozen=True, slots=True)
class Heel:
    """Where a valve's lobe shows its heel: crank deg of its middle, and how far it reaches either side."""

    middle: float
    reach: float


def heel_middle(valve: str, centreline: float, advance: float = 0.0, tdc: float = 0.0) -> float:
    """Crank angle in the middle of a valve's heel, opposite the nose; ``tdc``: its cylinder's firing TDC.

    >>> heel_middle("intake", 108), heel_middle("exhaust", 116)
    (108.0, 604.0)
    """
    if valve not in ("intake", "exhaust"):
        raise ValueError(f"a valve is intake or exhaust, not {valve!r}")
    after = centreline - advance if valve == "intake" else CYCLE - centreline - advance
    return (tdc + after) % CYCLE


def heel(middle: float, duration: float, margin: float = 10.0) -> Heel:
    """A valve's heel window: from its closing + margin to its next opening − margin, deg of crank.

    >>> heel(heel_middle("intake", 108), 270)
    Heel(middle=108.0, reach=215.0)
    """
    reach = CYCLE / 2 - _half(duration) - margin
    if reach < 0:
        raise ValueError("with this duration and margin no heel is left to measure on")
    return Heel(middle, reach)


def on_heel(crank: float, window: Heel) -> bool:
    """Whether a valve read at this crank angle (deg) stood on its heel; the window's ends belong to it.

    >>> on_heel(468, heel(108, 270))
    False
    """
    return _apart(crank, window.middle) <= window.reach + _EQUAL


@dataclass(frozen=True, slots=True)
class Stop:
    """One stop of the measuring plan: the crank angle, deg 0 to 720, and the valves to measure there."""

    crank: float
    valves: tuple[Valve, ...]


def measuring_plan(heels: Mapping[Valve, Heel]) -> list[Stop]:
    """Fewest crank stops at which every valve can be measured on its heel, in crank order.

    Among plans with as few stops, the valve furthest from its heel's middle is as near to it as can be.

    >>> measuring_plan({(1, "intake"): heel(108, 270), (1, "exhaust"): heel(604, 280)})
    [Stop(crank=716.0, valves=((1, 'exhaust'), (1, 'intake')))]
    """
    if not heels:
        return []
    fewest, distances = len(_fewest_stops(heels)), _telling_distances(heels)
    nearest = bisect_left(distances, -fewest, key=lambda far: -len(_fewest_stops(_narrowed(heels, far))))
    stops = _settled(_fewest_stops(_narrowed(heels, distances[nearest])), heels)
    return sorted(_settled(stops, heels), key=lambda stop: stop.crank)


def _narrowed(heels: Mapping[Valve, Heel], far: float) -> dict[Valve, Heel]:
    return {valve: Heel(window.middle, min(window.reach, far)) for valve, window in heels.items()}


def _telling_distances(heels: Mapping[Valve, Heel]) -> list[float]:
    """Distances from the middle at which two windows cut to them begin to touch, up to the whole windows."""
    widest = max(window.reach for window in heels.values())
    found = {0.0, widest}
    for one, other in permutations(heels.values(), 2):
        gap = (other.middle - one.middle) % CYCLE
        found |= {gap / 2, gap - one.reach, gap - other.reach}
    return sorted(far for far in found if 0 <= far <= widest)


def _fewest_stops(heels: Mapping[Valve, Heel]) -> list[Stop]:
    """Some best plan has every stop at the end of a window, so one of these starts begins a best plan."""
    return min((_stops_from(window, heels) for window in heels.values()), key=len)


def _stops_from(start: Heel, heels: Mapping[Valve, Heel]) -> list[Stop]:
    """From the end of one window on, always turning as far as the first window that is about to end."""
    crank, left, stops = start.middle + start.reach, dict(heels), []
    while left:
        served = tuple(valve for valve, window in left.items() if on_heel(crank, window))
        stops.append(Stop(crank % CYCLE, served))
        left = {valve: window for valve, window in left.items() if valve not in served}
        crank += min(((w.middle + w.reach - crank) % CYCLE for w in left.values()), default=0.0)
    return stops


def _settled(stops: Sequence[Stop], heels: Mapping[Valve, Heel]) -> list[Stop]:
    """Each valve at the stop nearest its middle, then each stop moved to suit its valves."""
    served: dict[float, list[Valve]] = {stop.crank: [] for stop in stops}
    for valve, window in sorted(heels.items()):
        served[min(served, key=lambda crank: _apart(crank, window.middle))].append(valve)
    return [Stop(_best_crank(at, [heels[v] for v in valves]), tuple(valves)) for at, valves in served.items()]


def _best_crank(crank: float, windows: Sequence[Heel]) -> float:
    """Midway between the outermost middles, or as near to that as every window allows."""
    middles = [_turn(crank, window.middle) for window in windows]
    first = max(middle - window.reach for middle, window in zip(middles, windows, strict=True))
    last = min(middle + window.reach for middle, window in zip(middles, windows, strict=True))
    return (crank + min(max((min(middles) + max(middles)) / 2, first), last)) % CYCLE


def _turn(start: float, end: float) -> float:
    return (end - start + CYCLE / 2) % CYCLE - CYCLE / 2


def _apart(one: float, other: float) -> float:
    return abs(_turn(one, other))
