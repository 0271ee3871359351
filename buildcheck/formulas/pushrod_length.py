"""Lengths of pushrods: what the ends take off, conventions, the checker, the length asked."""

from math import sqrt


def cap(ball_radius: float, hole_diameter: float) -> float:
    """What an oil hole, or a gauge's hole, takes off one ball end.

    Args: ball_radius (m); hole_diameter (m). Returns: the height of the cap (m). ValueError where the hole
    is wider than the ball. Source: height of a spherical cap, R - sqrt(R^2 - (d/2)^2).

    >>> [round(cap(5 / 32, d), 5) for d in (0.060, 0.080, 0.100, 0.120)]
    [0.00291, 0.00521, 0.00822, 0.01198]
    """
    if not 0 <= hole_diameter <= 2 * ball_radius:
        raise ValueError("the hole in a ball end is narrower than the ball, and not below zero")
    return ball_radius - sqrt(ball_radius**2 - (hole_diameter / 2) ** 2)


def ball_end_shortening(ball_radius: float, oil_hole: float, gauge_hole: float = 0.0) -> float:
    """By how much a gauge, or a caliper where its hole is zero, reads one ball end shorter than its full ball.

    Args: ball_radius, oil_hole, gauge_hole (m). Returns: the difference (m). A gauge's hole smaller than the oil
    hole rests on the oil hole's edge and reads as a caliper. ValueError as for cap. Source: cap.

    >>> round(ball_end_shortening(5 / 32, 0.080, 0.120), 5), round(ball_end_shortening(5 / 32, 0.080, 0.060), 5)
    (0.01198, 0.00521)
    """
    return cap(ball_radius, max(oil_hole, gauge_hole))


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
    """The required pushrod length of one valve.

    Args: measured: zero-lash length on the last trial (m); mark_change: q*(1 + 1/R) where the pivot is free
    (m); cup_difference: cup height of the lifter measured on less that of the one to be run (m); preload:
    of a hydraulic lifter (m); lash: of a solid one, at the valve (m); ratio: of the rocker (1).
    Returns: the length (m). ValueError for a ratio not above zero. Source: sum of the changes for the
    mark, the lifter, and the preload or lash.

    >>> round(length_asked(9.400, mark_change=0.065, preload=0.040), 4)
    9.505
    >>> round(length_asked(9.400, lash=0.016, ratio=1.6), 4)
    9.39
    """
    if ratio <= 0:
        raise ValueError("a rocker's ratio is above zero")
    return measured + mark_change + cup_difference + preload - lash / ratio


def adjuster_interval(length: float, travel: float, screw_at: float = 0.0) -> tuple[float, float]:
    """The pushrod lengths that leave the rocker's screw within its travel.

    Args: length: asked with the screw as it stood while measuring (m); travel: allowed on either side of
    where the screw should stand (m); screw_at: how far it stood beyond that, towards the pushrod (m).
    Returns: shortest and longest (m). ValueError for travel below zero. Source: screw and rod share one
    length.

    >>> [round(x, 3) for x in adjuster_interval(9.400, 0.060, screw_at=0.020)]
    [9.36, 9.48]
    """
    if travel < 0:
        raise ValueError("an adjuster's travel is not below zero")
    return length + screw_at - travel, length + screw_at + travel
