"""Where a curve comes up through zero between two places, found with few looks at it."""

from __future__ import annotations

from collections.abc import Callable

Point = tuple[float, float]


def crossing(function: Callable[[float], float], inside: Point, outside: Point, near: float) -> float:
    """A place beyond which a function that is at or below zero has come above it.

    Args: function; inside, outside: a place where it is at or below zero and one where it is above, each with
    its value there; near: how close will do (the places' unit).
    Returns: a place where it is above zero, at most ``near`` from one where it is not; as it jumps, any step will do.
    Source: inverse parabolas where three places allow it, halves where not (Chandrupatla 1997, Advances in
    Engineering Software 28, from memory).

    >>> round(crossing(lambda x: x * x - 2, (0.0, -2.0), (2.0, 2.0), 1e-9), 8)
    1.41421356
    """
    new, other, old, share = outside, inside, inside, 0.5
    while (gap := abs(other[0] - new[0])) > near:
        least = near / 2 / gap
        share = min(max(share, least), 1 - least)
        place = new[0] + share * (other[0] - new[0])
        tried = (place, function(place))
        if (tried[1] > 0) == (new[1] > 0):
            old, new = new, tried
        else:
            old, other, new = other, new, tried
        share = _share(new, other, old)
    return new[0] if new[1] > 0 else other[0]


def _share(new: Point, other: Point, old: Point) -> float:
    """How far from the newest place towards the one across zero to look next."""
    (a, at_a), (b, at_b), (c, at_c) = new, other, old
    if at_c in (at_a, at_b):
        return 0.5
    along, up = (a - b) / (c - b), (at_a - at_b) / (at_c - at_b)
    if not (up * up < along and (1 - up) ** 2 < 1 - along):
        return 0.5
    bend = (c - a) / (b - a)
    return at_a / (at_b - at_a) * at_c / (at_b - at_c) + bend * at_a / (at_c - at_a) * at_b / (at_c - at_b)
