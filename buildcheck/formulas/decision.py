"""Whether a measured value meets its limit, breaks it, or cannot be distinguished from it: JCGM 106:2012, 8.3.2.

Two numbers that differ by less than 1e-9 of the larger, or 1e-12, are equal: 0.55 in and 13.97 mm must not be
distinguished by the last bit of a float.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import isfinite, sqrt
from typing import Literal

from buildcheck.formulas.propagation import combined

Outcome = Literal["pass", "fail", "open"]

RELATIVE_NOISE = 1e-9
ABSOLUTE_NOISE = 1e-12
"""In SI: of a length, a picometre."""


def resolution_uncertainty(resolution: float) -> float:
    """Standard uncertainty of a gauge of which only the resolution is known: resolution/√12, in its unit.

    Source: JCGM 100:2008, F.2.2.1.

    >>> round(resolution_uncertainty(0.001), 7)
    0.0002887
    """
    if resolution < 0:
        raise ValueError("a resolution cannot be negative")
    return resolution / sqrt(12)


def expanded_uncertainty(parts: Iterable[float], coverage: float = 2.0) -> float:
    """Expanded uncertainty U = k·u of independent standard uncertainties, k = 2 for about 95 %.

    Source: JCGM 100:2008, 6.2.

    >>> expanded_uncertainty([0.003, 0.004])
    0.01
    """
    return coverage * combined(parts)


def margin(value: float, at_least: float | None = None, at_most: float | None = None) -> float:
    """Least distance from a value to its limits, in the value's unit; negative where a limit is broken.

    >>> margin(3.5, at_least=2.0, at_most=4.0), margin(5.0, at_most=4.0)
    (0.5, -1.0)
    """
    return min(room for room, _ in _rooms(value, at_least, at_most))


def decide(value: float, at_least: float | None = None, at_most: float | None = None, expanded: float = 0.0) -> Outcome:
    """pass: clears every limit by U; fail: breaks one by more than U; else open. All in the value's unit.

    Without uncertainty a value equal to its limit passes. A number that is not finite is never decided: open.
    Source: JCGM 106:2012, 8.3.2.

    >>> decide(0.065, at_least=0.060, expanded=0.004), decide(0.063, at_least=0.060, expanded=0.004)
    ('pass', 'open')
    """
    if expanded < 0:
        raise ValueError("an uncertainty cannot be negative")
    return outcome([(room, expanded, noise) for room, noise in _rooms(value, at_least, at_most)])


def outcome(rooms: Sequence[tuple[float, float, float]]) -> Outcome:
    """The same from each limit's room, its own expanded uncertainty and its float noise: a limit may be unsure too.

    Room is the distance from the limit on its right side, negative where the limit is broken; without limits: pass.
    Source: JCGM 106:2012, 8.3.2.

    >>> outcome([(0.005, 0.004, 1e-12), (0.003, 0.004, 1e-12)])
    'open'
    """
    found: Outcome = "pass"
    for room, expanded, noise in rooms:
        if not (isfinite(room) and isfinite(expanded)):
            return "open"
        if room < -expanded - noise:
            found = "fail"
        elif room < expanded - noise and found == "pass":
            found = "open"
    return found


def _rooms(value: float, at_least: float | None, at_most: float | None) -> list[tuple[float, float]]:
    """For each limit, the distance on its right side and the noise below which that distance is none."""
    sides = [(limit, side) for limit, side in ((at_least, 1), (at_most, -1)) if limit is not None]
    if not sides:
        raise ValueError("a decision needs a limit: at least or at most")
    return [(side * (value - limit), noise(value, limit)) for limit, side in sides]


def noise(value: float, limit: float) -> float:
    """The float noise below which a value counts as equal to its limit, in its unit."""
    size, other = abs(value), abs(limit)
    relative = RELATIVE_NOISE * (other if other > size else size)
    return relative if relative > ABSOLUTE_NOISE else ABSOLUTE_NOISE
