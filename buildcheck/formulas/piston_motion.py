"""How far a valve can move before it touches the piston."""

from __future__ import annotations

from math import cos, radians, sin


def along_valve(further: float, valve_angle: float, face: str = "") -> float:
    """Further travel of a valve until it touches the piston, if the piston moves away from it, m.

    Args: further: along the bore, negative if it comes nearer (m); valve_angle: between valve and bore (deg); face:
    ``flat`` (square to the bore), ``pocket`` (its floor square to the valve), or empty: the smaller of both.
    Source: the face cuts the line along which the valve moves, derived here.

    >>> [round(along_valve(0.001, 20.0, face), 7) for face in ("flat", "pocket", "")]
    [0.0010642, 0.0009397, 0.0009397]
    >>> round(along_valve(-0.001, 20.0), 7)
    -0.0010642
    """
    slant = cos(radians(valve_angle))
    flat, pocket = further / slant, further * slant
    return {"flat": flat, "pocket": pocket}.get(face, min(flat, pocket))


def sideways(further: float, valve_angle: float) -> float:
    """Distance that a pocket moves sideways under its valve while the piston moves along the bore, m.

    Args: further: along the bore (m); valve_angle: between valve and bore (deg). Source: derived here.

    >>> round(sideways(-0.010, 30.0), 6)
    0.005
    """
    return abs(further) * sin(radians(valve_angle))


def changed_lift(lift: float, lash: float, ratio_share: float, lash_change: float) -> float:
    """Valve lift with another rocker ratio and another lash, m.

    Args: lift: as read (m); lash: in the valve train while reading (m); ratio_share: new ratio over old ratio;
    lash_change: new lash less old lash (m). Returns: the new lift, never below zero.
    Source: the lifter rises as before, so lift plus lash is in proportion to the ratio, derived here.

    >>> round(changed_lift(0.010, 0.0004, 1.7 / 1.6, 0.0), 6), changed_lift(0.0001, 0.0, 1.0, 0.0002)
    (0.01065, 0.0)
    """
    return max(0.0, (lift + lash) * ratio_share - lash - lash_change)
