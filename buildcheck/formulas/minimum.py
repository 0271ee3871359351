"""Where a curve with one valley is lowest, found with few looks at it."""

from __future__ import annotations

from collections.abc import Callable
from math import copysign, inf, sqrt

GOLDEN = (3 - sqrt(5)) / 2
"""The smaller share of a stretch cut by the golden section."""

Point = tuple[float, float]


def lowest(function: Callable[[float], float], low: float, high: float, near: float) -> float:
    """The place between two others where a function with one valley is least.

    Args: function: falls to its valley and rises behind it; low, high: the stretch, at whose very ends it may
    jump and is not asked; near: how close will do (their unit).
    Returns: a place inside, about ``near`` from the least.
    Source: parabolas through the three best places, the golden section where these lead nowhere (Brent 1973,
    Algorithms for Minimization without Derivatives, ch. 5, from memory); one beside an end is seen at once.

    >>> round(lowest(lambda x: (x - 0.3) ** 2, -1.0, 1.0, 1e-6), 5), lowest(lambda x: x, -1.0, 1.0, 1e-6)
    (0.3, -0.999999)
    """
    if high - low <= 4 * near:
        return (low + high) / 2
    if function(low + near) <= function(low + 2 * near):
        return low + near
    if function(high - near) <= function(high - 2 * near):
        return high - near
    return _between(function, low, high, near)


def _between(function: Callable[[float], float], low: float, high: float, near: float) -> float:
    start = low + GOLDEN * (high - low)
    best = second = third = (start, function(start))
    step = before = 0.0
    while max(best[0] - low, high - best[0]) > near + (high - low) / 4:
        before, step = step, _parabola(best, second, third)
        if not (low < best[0] + step < high and abs(step) < abs(before) / 2):
            before = (high if best[0] < (low + high) / 2 else low) - best[0]
            step = GOLDEN * before
        if abs(step) < near / 2:  # towards the wider side, so that both sides close
            step = copysign(near / 2, low + high - 2 * best[0])
        place = best[0] + step
        tried = (place, function(place))
        low, high = _narrowed(low, high, best, tried)
        best, second, third = _ranked(tried, best, second, third)
    return best[0]


def _narrowed(low: float, high: float, best: Point, tried: Point) -> Point:
    """The stretch that still holds the valley."""
    better, worse = (tried, best) if tried[1] <= best[1] else (best, tried)
    return (max(low, worse[0]), high) if worse[0] < better[0] else (low, min(high, worse[0]))


def _ranked(tried: Point, best: Point, second: Point, third: Point) -> tuple[Point, Point, Point]:
    """The three best places so far."""
    if tried[1] <= best[1]:
        return tried, best, second
    if tried[1] <= second[1] or second == best:
        return best, tried, second
    return (best, second, tried) if tried[1] <= third[1] or third in (best, second) else (best, second, third)


def _parabola(best: Point, second: Point, third: Point) -> float:
    """From the best place to the lowest of the parabola through three; without end where they lie on a line."""
    (x, y), (v, at_v), (w, at_w) = best, second, third
    one, other = (x - v) * (y - at_w), (x - w) * (y - at_v)
    divisor = 2 * (one - other)
    return ((x - w) * other - (x - v) * one) / divisor if divisor else inf
