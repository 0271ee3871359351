"""When the valves move, and when each cylinder fires.

Crank angles count in the direction of running, 0 to 720, from cylinder 1's own firing TDC. ``advance`` is
how far the cam is advanced against its card: intake centreline earlier, exhaust's further before TDC.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

CYCLE = 720.0


def half_duration(duration: float) -> float:
    """Crank deg from a valve's opening to its lobe's nose. Raises ValueError for no duration, or one of 720 deg."""
    if not 0 < duration < CYCLE:
        raise ValueError(f"a valve cannot stay open for {duration:g} of 720 deg")
    return duration / 2


def intake_opens(duration: float, centreline: float, advance: float = 0.0) -> float:
    """Intake opening, deg before TDC; centreline in deg after TDC.

    Symmetrical lobes, seat-to-seat duration. Checked against US Department of the Army, TM 9-8000, ch. 2.

    >>> intake_opens(270, 108)
    27.0
    """
    return half_duration(duration) - (centreline - advance)


def intake_closes(duration: float, centreline: float, advance: float = 0.0) -> float:
    """Intake closing, deg after BDC; centreline in deg after TDC; symmetrical lobes.

    >>> intake_closes(270, 108)
    63.0
    """
    return half_duration(duration) + (centreline - advance) - 180


def exhaust_opens(duration: float, centreline: float, advance: float = 0.0) -> float:
    """Exhaust opening, deg before BDC; centreline in deg before TDC; symmetrical lobes.

    >>> exhaust_opens(280, 116)
    76.0
    """
    return half_duration(duration) + (centreline + advance) - 180


def exhaust_closes(duration: float, centreline: float, advance: float = 0.0) -> float:
    """Exhaust closing, deg after TDC; centreline in deg before TDC; symmetrical lobes.

    >>> exhaust_closes(280, 116)
    24.0
    """
    return half_duration(duration) - (centreline + advance)


def lobe_separation(intake_centreline: float, exhaust_centreline: float) -> float:
    """Angle between the noses of the lobes, deg of cam; it is ground in, so advance does not change it.

    >>> lobe_separation(108, 116)
    112.0
    """
    return (intake_centreline + exhaust_centreline) / 2


def overlap(opens: float, closes: float) -> float:
    """Crank angle with both valves open, deg: intake opening BTDC + exhaust closing ATDC; negative: both closed.

    Source: US Department of the Army, TM 9-8000, ch. 2, p. 2-35/2-36.

    >>> overlap(27, 24)
    51
    """
    return opens + closes


def firing_tdc(order: Sequence[int], intervals: Sequence[float] | None = None) -> dict[int, float]:
    """Crank angle of the firing TDC of each cylinder, deg, 0 to 720; cylinder 1 is at zero wherever it is in the order.

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
    """The cylinder on overlap while this one is at its firing TDC: its own firing TDC is 360 deg away.

    >>> companion(1, firing_tdc([1, 2, 4, 3]))
    4
    """
    for other, angle in tdc.items():
        if apart(angle, tdc[cylinder] + 360) < 1e-6:
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
        raise ValueError("with this cam both valves are never closed together by that margin")
    return first, last


def turn(start: float, end: float) -> float:
    """Crank angle from one position to another by the shorter way, deg, -360 to 360; negative: backwards.

    >>> turn(700, 20), turn(20, 700)
    (40.0, -40.0)
    """
    return (end - start + CYCLE / 2) % CYCLE - CYCLE / 2


def apart(one: float, other: float) -> float:
    """Difference between two crank angles, deg, 0 to 360.

    >>> apart(20, 700)
    40.0
    """
    return abs(turn(one, other))
