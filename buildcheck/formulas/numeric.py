"""Numeric solvers with few evaluations: where a curve crosses zero, and where a curve with one valley is least."""

from __future__ import annotations

from collections.abc import Callable
from math import copysign, inf, sqrt

GOLDEN = (3 - sqrt(5)) / 2
"""The smaller share of an interval cut by the golden section."""

Point = tuple[float, float]


def find_root(function: Callable[[float], float], inside: Point, outside: Point, tol: float) -> float:
    """A place beyond which a function that is at or below zero has come above it.

    Args: function; inside, outside: a place where it is at or below zero and one where it is above, each with
    its value there; tol: the tolerance (the places' unit).
    Returns: a place where it is above zero, at most ``tol`` from one where it is not. A curve may have several.
    Source: inverse parabolas where three places allow it, halves where not (Chandrupatla 1997, Advances in
    Engineering Software 28, from memory).

    >>> round(find_root(lambda x: x * x - 2, (0.0, -2.0), (2.0, 2.0), 1e-9), 8)
    1.41421356
    """
    new, other, old, share = outside, inside, inside, 0.5
    while (gap := abs(other[0] - new[0])) > tol:
        least = tol / 2 / gap
        share = least if share < least else 1 - least if share > 1 - least else share
        place = new[0] + share * (other[0] - new[0])
        tried = (place, function(place))
        if (tried[1] > 0) == (new[1] > 0):
            old, new = new, tried
        else:
            old, other, new = other, new, tried
        share = _next_share(new, other, old)
    return new[0] if new[1] > 0 else other[0]


def _next_share(new: Point, other: Point, old: Point) -> float:
    """The next place to evaluate, as a share of the way from the newest place to the one across zero."""
    (a, at_a), (b, at_b), (c, at_c) = new, other, old
    if at_c in (at_a, at_b):
        return 0.5
    along, up = (a - b) / (c - b), (at_a - at_b) / (at_c - at_b)
    if not (up * up < along and (1 - up) ** 2 < 1 - along):
        return 0.5
    bend = (c - a) / (b - a)
    return at_a / (at_b - at_a) * at_c / (at_b - at_c) + bend * at_a / (at_c - at_a) * at_b / (at_c - at_b)


def minimise(function: Callable[[float], float], low: float, high: float, tol: float) -> float:
    """The place between two others where a function with one valley is least.

    Args: function: falls to its valley and rises behind it; low, high: the ends of the interval, at which it may
    jump and is not evaluated; tol: the tolerance (their unit).
    Returns: a place inside, about ``tol`` from the minimum.
    Source: parabolas through the three best places, the golden section where these do not converge (Brent 1973,
    Algorithms for Minimization without Derivatives, ch. 5, from memory); a minimum beside an end is found first.

    >>> round(minimise(lambda x: (x - 0.3) ** 2, -1.0, 1.0, 1e-6), 5), minimise(lambda x: x, -1.0, 1.0, 1e-6)
    (0.3, -0.999999)
    """
    if high - low <= 4 * tol:
        return (low + high) / 2
    if function(low + tol) <= function(low + 2 * tol):
        return low + tol
    if function(high - tol) <= function(high - 2 * tol):
        return high - tol
    return _minimise_inside(function, low, high, tol)


def _minimise_inside(function: Callable[[float], float], low: float, high: float, tol: float) -> float:
    start = low + GOLDEN * (high - low)
    best = second = third = (start, function(start))
    step = before = 0.0
    while max(best[0] - low, high - best[0]) > tol + (high - low) / 4:
        before, step = step, _parabola(best, second, third)
        if not (low < best[0] + step < high and abs(step) < abs(before) / 2):
            before = (high if best[0] < (low + high) / 2 else low) - best[0]
            step = GOLDEN * before
        if abs(step) < tol / 2:  # towards the wider side, so that both sides close
            step = copysign(tol / 2, low + high - 2 * best[0])
        place = best[0] + step
        tried = (place, function(place))
        low, high = _narrowed(low, high, best, tried)
        best, second, third = _ranked(tried, best, second, third)
    return best[0]


def _narrowed(low: float, high: float, best: Point, tried: Point) -> Point:
    """The interval that still holds the valley."""
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
    """From the best place to the lowest of the parabola through three; infinite if they lie on a line."""
    (x, y), (v, at_v), (w, at_w) = best, second, third
    one, other = (x - v) * (y - at_w), (x - w) * (y - at_v)
    divisor = 2 * (one - other)
    return ((x - w) * other - (x - v) * one) / divisor if divisor else inf
