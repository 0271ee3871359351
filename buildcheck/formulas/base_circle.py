"""Where a lobe shows its base circle: the crank angles at which its valve is shut and its lifter down.

Crank angles count in the direction of running, 0 to 720, from cylinder 1's own firing TDC.
"""

from __future__ import annotations

from buildcheck.formulas.cam import CYCLE, apart, half_duration
from buildcheck.record import Record

_EQUAL = 1e-9  # degrees

SEAT_TO_SEAT_BELOW = 0.000508
"""Lifter rise (m; 0.020 in) below which a stated duration is as good as seat to seat."""

TELLS_NOTHING_FROM = 0.00127
"""Lifter rise (m; 0.050 in) from which on a stated duration does not show where the base circle ends."""

RAMP = 30.0
"""Crank deg that a ramp may take between the seat and a lifter rise below 0.050 in."""


class Heel(Record):
    """Where a valve's lobe shows its base circle: crank deg of its middle, and how far it reaches either side."""

    middle: float
    reach: float


def heel_middle(valve: str, centreline: float, advance: float = 0.0, tdc: float = 0.0) -> float:
    """Crank angle in the middle of a valve's base circle, opposite the nose; ``tdc``: its cylinder's firing TDC.

    May lie a cycle on, above 720.

    >>> heel_middle("intake", 108), heel_middle("exhaust", 116)
    (108.0, 604.0)
    """
    if valve not in ("intake", "exhaust"):
        raise ValueError(f"a valve is intake or exhaust, not {valve!r}")
    after = centreline if valve == "intake" else CYCLE - centreline
    return tdc + after - advance


def heel(middle: float, duration: float, margin: float = 10.0) -> Heel:
    """Base circle window of a valve, deg of crank: from its closing + margin to its next opening - margin.

    >>> heel(heel_middle("intake", 108), 270)
    Heel(middle=108.0, reach=215.0)
    """
    reach = CYCLE / 2 - half_duration(duration) - margin
    if reach < 0:
        raise ValueError("with this duration and margin no base circle is left to measure on")
    return Heel(middle, reach)


def on_heel(crank: float, window: Heel) -> bool:
    """Whether a valve read at this crank angle (deg) was on its base circle; the window's ends belong to it.

    >>> on_heel(468, heel(108, 270))
    False
    """
    return apart(crank, window.middle) <= window.reach + _EQUAL


def ramp(rise: float) -> float:
    """Crank angle by which a base circle is shorter at either end than a duration at this lifter rise (m) shows, deg.

    Source: common practice, no published source. Raises ValueError from 0.050 in on.

    >>> ramp(0.006 * 0.0254), ramp(0.020 * 0.0254)
    (0.0, 30.0)
    """
    if rise >= TELLS_NOTHING_FROM:
        raise ValueError("durations at a lifter rise of 0.050 in or more do not show where the base circle ends")
    return RAMP if rise >= SEAT_TO_SEAT_BELOW else 0.0


def heel_margin(crank: float, middle: float, duration: float, ramp: float = 0.0) -> float:
    """Crank angle from the reading of a valve to the nearer end of its base circle, deg; negative: off the base circle.

    >>> heel_margin(108, 108, 270), heel_margin(468, 108, 270)
    (225.0, -135.0)
    """
    return CYCLE / 2 - half_duration(duration) - ramp - apart(crank, middle)
