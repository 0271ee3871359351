"""Lengths of push rods: what the ends take off, conventions, the checker, the length asked."""

from dataclasses import dataclass
from math import sqrt
from typing import Literal

Convention = Literal["overall", "full ball", "gauge"]


@dataclass(frozen=True, slots=True)
class End:
    """One end of a push rod: its ball's radius and oil hole (m), or a cup, which no hole shortens."""

    ball_radius: float
    oil_hole: float = 0.0
    cup: bool = False


Ends = tuple[End, End]


def cap(ball_radius: float, hole_diameter: float) -> float:
    """What an oil hole, or a gauge's hole, takes off one ball end.

    Args: ball_radius (m); hole_diameter (m). Returns: the height of the cap (m). ValueError where the hole
    is wider than the ball. Source: height of a spherical cap, R - sqrt(R^2 - (d/2)^2).

    >>> [round(cap(5 / 32, d), 5) for d in (0.060, 0.080, 0.100, 0.140)]
    [0.00291, 0.00521, 0.00822, 0.01656]
    """
    if not 0 <= hole_diameter <= 2 * ball_radius:
        raise ValueError("the hole in a ball end is narrower than the ball, and not below zero")
    return ball_radius - sqrt(ball_radius**2 - (hole_diameter / 2) ** 2)


def lost(ball_radius: float, oil_hole: float, gauge_hole: float = 0.0) -> float:
    """By how much a gauge, or a caliper where its hole is zero, reads one ball end shorter than its full ball.

    Args: ball_radius, oil_hole, gauge_hole (m). Returns: the difference (m). A gauge's hole smaller than the oil
    hole rests on the oil hole's edge and reads as a caliper. ValueError as for cap. Source: cap.

    >>> round(lost(5 / 32, 0.080, 0.140), 5), round(lost(5 / 32, 0.080, 0.060), 5)
    (0.01656, 0.00521)
    """
    return cap(ball_radius, max(oil_hole, gauge_hole))


def taken_off(ends: Ends, stated_as: Convention, gauge_hole: float | None = None) -> float:
    """By how much a convention reads a rod shorter than over its full balls.

    Args: ends: both ends of the rod; stated_as: the convention; gauge_hole: diameter of the gauge's own
    hole (m).
    Returns: the difference (m). ValueError where a gauge length comes without its hole. Source: lost.

    >>> rod = (End(5 / 32, 0.080), End(5 / 32, 0.080))
    >>> round(taken_off(rod, "overall"), 5), round(taken_off(rod, "gauge", 0.140), 5)
    (0.01041, 0.03311)
    """
    if stated_as == "full ball":
        return 0.0
    if stated_as == "gauge" and gauge_hole is None:
        raise ValueError("a gauge length means nothing without the gauge's own hole: state gauge_hole")
    hole = gauge_hole if stated_as == "gauge" and gauge_hole is not None else 0.0
    return sum(lost(end.ball_radius, end.oil_hole, hole) for end in ends if not end.cup)


def convert(
    length: float,
    ends: Ends,
    given: Convention,
    wanted: Convention,
    given_hole: float | None = None,
    wanted_hole: float | None = None,
) -> float:
    """The same rod's length in another convention.

    Args: length: as given (m); ends: both ends of the rod; given, wanted: the conventions; given_hole,
    wanted_hole: diameter of the gauge's hole where a convention is a gauge's (m).
    Returns: the length (m). ValueError as for taken_off. Source: full-ball length = overall + caps of the
    oil holes, gauge length = full-ball length - caps of the gauge's hole.

    >>> rod = (End(5 / 32, 0.080), End(5 / 32, 0.080))
    >>> round(convert(9.450, rod, "overall", "gauge", wanted_hole=0.140), 5)
    9.4273
    """
    full = length + taken_off(ends, given, given_hole)
    return full - taken_off(ends, wanted, wanted_hole)


def change_ends(length: float, given: Ends, wanted: Ends) -> float:
    """The overall length of a rod with other ends that reaches as far: the checker's turned into the rods'.

    Args: length: overall (m); given, wanted: the ends of both. Returns: overall length (m). Valid where the
    balls are of one radius, so that they sit alike in their cups. ValueError where they are not, or a ball
    meets a cup.
    Source: both rods alike over their full balls.

    >>> plain, drilled = End(5 / 32, 0.0), End(5 / 32, 0.080)
    >>> round(change_ends(9.450, (plain, plain), (drilled, drilled)), 5)
    9.43959
    """
    alike = [(a.ball_radius, a.cup) == (b.ball_radius, b.cup) for a, b in zip(given, wanted, strict=True)]
    if not all(alike):
        raise ValueError("the checker stands in for a rod only with ends of the same kind and ball radius")
    return length + taken_off(given, "overall") - taken_off(wanted, "overall")


def checker_length(length_at_zero_turns: float, turns: float, pitch: float) -> float:
    """The length of an adjustable checking rod after so many turns.

    Args: length_at_zero_turns (m); turns (1); pitch: of its thread (m a turn). Returns: the length (m).
    Source: definition.

    >>> round(checker_length(9.100, 8.25, 1 / 28), 4)
    9.3946
    """
    return length_at_zero_turns + turns * pitch


def length_asked(
    measured: float,
    mark_change: float = 0.0,
    cup_difference: float = 0.0,
    preload: float = 0.0,
    lash: float = 0.0,
    ratio: float = 1.0,
) -> float:
    """The push rod length that one valve asks for.

    Args: measured: zero-lash length on the last trial (m); mark_change: q*(1 + 1/R) where the pivot is free
    (m); cup_difference: cup height of the lifter measured on less that of the one to be run (m); preload:
    of a hydraulic lifter (m); lash: of a solid one, at the valve (m); ratio: of the rocker (1).
    Returns: the length (m). ValueError for a ratio not above zero. Source: sum of what the mark, the lifter
    and the preload or lash ask.

    >>> round(length_asked(9.400, mark_change=0.065, preload=0.040), 4)
    9.505
    >>> round(length_asked(9.400, lash=0.016, ratio=1.6), 4)
    9.39
    """
    if ratio <= 0:
        raise ValueError("a rocker's ratio is above zero")
    return measured + mark_change + cup_difference + preload - lash / ratio


def adjuster_interval(length: float, travel: float, screw_at: float = 0.0) -> tuple[float, float]:
    """The push rod lengths that leave the rocker's screw within its travel.

    Args: length: asked with the screw as it stood while measuring (m); travel: allowed on either side of
    where the screw should stand (m); screw_at: how far it stood beyond that, towards the push rod (m).
    Returns: shortest and longest (m). ValueError for travel below zero. Source: screw and rod share one
    length.

    >>> [round(x, 3) for x in adjuster_interval(9.400, 0.060, screw_at=0.020)]
    [9.36, 9.48]
    """
    if travel < 0:
        raise ValueError("an adjuster's travel is not below zero")
    return length + screw_at - travel, length + screw_at + travel
