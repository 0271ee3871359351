"""Lift against crank angle as read: interpolated, its nose, and the crank angle of a height on a flank.

A curve is two sequences of the same length: crank angles (deg), which increase, and lifts (m).
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from math import prod

from buildcheck.formulas.numeric import find_root

Numbers = Sequence[float]
_ANGLE_TOL = 1e-7


def interval(angle: float, angles: Numbers) -> int:
    """The index of the reading at or before a crank angle, of which another one follows.

    Raises ValueError outside the readings.

    >>> interval(25.0, [10.0, 20.0, 30.0]), interval(30.0, [10.0, 20.0, 30.0])
    (1, 1)
    """
    if not angles[0] <= angle <= angles[-1]:
        raise ValueError(f"no lift was read at {angle:.1f} deg")
    return min(bisect_right(angles, angle), len(angles) - 1) - 1


def lift_at(angle: float, angles: Numbers, lifts: Numbers) -> float:
    """Lift between readings: monotone on either side of the nose, in the unit of the lifts.

    Args: angle (deg); angles, lifts: the curve. Valid between the first and the last reading; ValueError outside.
    Source: cubic with the harmonic mean of the neighbouring slopes (Fritsch and Butland 1984, SIAM Journal on
    Scientific and Statistical Computing 5, from memory).

    >>> lift_at(15.0, [0.0, 10.0, 20.0, 30.0], [0.0, 1.0, 2.0, 3.0])
    1.5
    """
    i = interval(angle, angles)
    step = angles[i + 1] - angles[i]
    share = (angle - angles[i]) / step
    first, second = (step * _slope(at, angles, lifts) for at in (i, i + 1))
    back = 1 - share
    return (
        back * back * (1 + 2 * share) * lifts[i]
        + share * share * (3 - 2 * share) * lifts[i + 1]
        + share * back * (back * first - share * second)
    )


def lift_between(angle: float, *curve: float) -> float:
    """Lift between readings: ``lift_at`` for a curve as one row, all angles and then all lifts.

    >>> lift_between(15.0, 0.0, 10.0, 20.0, 0.0, 1.0, 2.0)
    1.5
    """
    half = len(curve) // 2
    return lift_at(angle, curve[:half], curve[half:])


def _slope(i: int, angles: Numbers, lifts: Numbers) -> float:
    """Slope of the curve at a reading: none at a nose, and never so steep that the curve overshoots."""
    sides = [_secant(at, angles, lifts) for at in (i - 1, i) if 0 <= at < len(angles) - 1]
    if len(sides) == 1:
        return sides[0]
    if sides[0] * sides[1] <= 0:
        return 0.0
    before, after = angles[i] - angles[i - 1], angles[i + 1] - angles[i]
    first, second = before + 2 * after, 2 * before + after
    return (first + second) / (first / sides[0] + second / sides[1])


def _secant(i: int, angles: Numbers, lifts: Numbers) -> float:
    return (lifts[i + 1] - lifts[i]) / (angles[i + 1] - angles[i])


def interpolation_uncertainty(angle: float, angles: Numbers, lifts: Numbers) -> float:
    """Expanded uncertainty of a lift between readings: a quarter of the largest second difference beside it.

    Args: angle (deg); angles, lifts: the curve, of at least three readings. Returns: in the unit of the lifts.
    Source: an arc of constant curvature is half of that off its chord; common practice, no published source.

    >>> round(interpolation_uncertainty(15.0, [0.0, 10.0, 20.0], [0.0, 1.0, 4.0]), 9)
    0.5
    """
    i = interval(angle, angles)
    step = angles[i + 1] - angles[i]
    inner = [at for at in (i, i + 1) if 0 < at < len(angles) - 1]
    return max((abs(_bend(at, angles, lifts)) * step**2 / 4 for at in inner), default=abs(lifts[i + 1] - lifts[i]))


def _bend(i: int, angles: Numbers, lifts: Numbers) -> float:
    """Second derivative from three readings."""
    rise = _secant(i, angles, lifts) - _secant(i - 1, angles, lifts)
    return 2 * rise / (angles[i + 1] - angles[i - 1])


def nose_lift(before: float, lift_before: float, top: float, lift_top: float, after: float, lift_after: float) -> float:
    """Full lift: the summit of the parabola through the highest reading and its neighbours.

    Args: three crank angles (deg), each with its lift. Returns: full lift in the unit of the lifts, never below the
    highest reading. The summit lies between the outer readings, also if all three lifts are equal but for noise.
    Source: parabola through three points, derived here.

    >>> nose_lift(-10.0, 9.0, 0.0, 10.0, 10.0, 9.0), round(nose_lift(-15.0, 7.75, -5.0, 9.75, 5.0, 9.75), 9)
    (10.0, 10.0)
    >>> round(nose_lift(-5.0, 10.0, 0.0, 10.0 + 1e-15, 5.0, 10.0 + 2e-15), 9)
    10.0
    """
    angles, lifts = (before, top, after), (lift_before, lift_top, lift_after)
    bend = _bend(1, angles, lifts)
    if bend >= 0:
        return max(lifts)
    slope = _secant(0, angles, lifts) + bend * (top - before) / 2
    summit = min(max(-slope / bend, before - top), after - top)
    return max(lift_top, lift_top + slope * summit + bend * summit**2 / 2)


def flank_angle(height: float, angles: Numbers, lifts: Numbers) -> float:
    """Crank angle at which a flank passes a height, deg.

    Args: height; angles, lifts: readings of one flank around it, in the same unit. ValueError if it was not read.
    Source: lift_at, solved for the angle.

    >>> round(flank_angle(1.5, [0.0, 10.0, 20.0, 30.0], [0.0, 1.0, 2.0, 3.0]), 5)
    15.0
    """
    i = crossing(height, lifts)
    ends = [(angles[at], lifts[at] - height) for at in (i, i + 1)]
    inside, outside = sorted(ends, key=lambda end: end[1])
    if outside[1] <= 0:
        return outside[0]
    return find_root(lambda angle: lift_at(angle, angles, lifts) - height, inside, outside, _ANGLE_TOL)


def crossing(height: float, lifts: Numbers) -> int:
    """The index of the reading after which the lift passes a height; ValueError if it does not.

    >>> crossing(1.5, [0.0, 1.0, 2.0, 3.0]), crossing(1.5, [3.0, 2.0, 1.0])
    (1, 1)
    """
    for i in range(len(lifts) - 1):
        if min(lifts[i], lifts[i + 1]) <= height <= max(lifts[i], lifts[i + 1]) and lifts[i] != lifts[i + 1]:
            return i
    raise ValueError("the readings do not reach that height")


def lift_of_neighbours(i: int, angles: Numbers, lifts: Numbers) -> tuple[float, float, tuple[float, ...]]:
    """Lift at a reading as the readings beside it support it: estimate, how far two orders differ, weights.

    Args: i: its index; angles (deg), lifts: a curve of at least five readings. Returns: the polynomial through the
    nearest readings, which are four within the curve and three at its ends; its distance from the straight line
    through the nearest two; the weight of each reading in the polynomial. Lifts in the unit of the lifts.
    Source: polynomial interpolation (Lagrange); two orders bound its error: common practice, no published source.

    >>> lift_of_neighbours(2, [0.0, 10.0, 20.0, 30.0, 40.0], [0.0, 1.0, 9.0, 9.0, 16.0])[:2]
    (4.0, 1.0)
    >>> lift_of_neighbours(0, [0.0, 10.0, 20.0, 30.0, 40.0], [5.0, 1.0, 4.0, 9.0, 16.0])[:2]
    (0.0, 2.0)
    """
    others = sorted((at for at in range(len(angles)) if at != i), key=lambda at: (abs(at - i), at))
    near = others[: 3 if i in (0, len(angles) - 1) else 4]
    estimate, weights = _polynomial(angles[i], near, angles, lifts)
    line, _ = _polynomial(angles[i], near[:2], angles, lifts)
    return estimate, abs(estimate - line), tuple(weights.get(at, 0.0) for at in range(len(angles)))


def _polynomial(angle: float, near: Sequence[int], angles: Numbers, lifts: Numbers) -> tuple[float, dict[int, float]]:
    """The polynomial through some readings at a crank angle, and the weight of each of them."""
    weights = {
        at: prod((angle - angles[other]) / (angles[at] - angles[other]) for other in near if other != at) for at in near
    }
    return sum(weight * lifts[at] for at, weight in weights.items()), weights
