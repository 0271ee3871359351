"""Displacement, compression ratio and quench; lengths in m, volumes in m³."""

from __future__ import annotations

from math import cos, pi, radians, sin, sqrt


def _cylinder(diameter: float, height: float) -> float:
    return pi / 4 * diameter**2 * height


def swept_volume(bore: float, stroke: float) -> float:
    """Swept volume of one cylinder, m³: π/4·B²·S.

    >>> round(swept_volume(3.505, 3.785), 2)
    36.52
    """
    if min(bore, stroke) <= 0:
        raise ValueError("bore and stroke are above zero")
    return _cylinder(bore, stroke)


def displacement(bore: float, stroke: float, cylinders: int) -> float:
    """Swept volume of all cylinders, m³.

    Source: US Federal Aviation Administration, FAA-H-8083-32, ch. 1, 'Piston Displacement'.

    >>> round(displacement(3.505, 3.785, 6), 1)
    219.1
    """
    return cylinders * swept_volume(bore, stroke)


def clearance_volume(
    chamber: float,
    gasket_bore: float,
    gasket_thickness: float,
    bore: float,
    deck: float,
    piston: float,
    ring_land: float = 0.0,
) -> float:
    """Volume above the piston at TDC, m³: chamber + gasket + deck + piston volume + ring land.

    ``deck``: piston below the deck positive; ``piston``: dish positive, dome negative; ``ring_land``: the room
    round the crown down to the top ring.

    >>> round(clearance_volume(3.7835, 3.585, 0.041, 3.505, 0.015, 0.3661), 4)
    4.7082
    """
    gasket = _cylinder(gasket_bore, gasket_thickness)
    volume = chamber + gasket + _cylinder(bore, deck) + piston + ring_land
    if volume <= 0:
        raise ValueError("dome and deck leave no volume above the piston: dish is positive, dome negative")
    return volume


def compression_ratio(swept: float, clearance: float) -> float:
    """(swept volume + clearance volume) / clearance volume.

    Source: US Department of Energy, DOE-HDBK-1018/1-93, ME-01, p. 18.

    >>> compression_ratio(120.0, 20.0)
    7.0
    """
    if min(swept, clearance) <= 0:
        raise ValueError("swept and clearance volume are above zero")
    return (swept + clearance) / clearance


def quench(deck: float, gasket_thickness: float) -> float:
    """Smallest distance from piston to head at TDC, m, cold: deck clearance + compressed gasket.

    >>> round(quench(0.015, 0.041), 3)
    0.056
    """
    return deck + gasket_thickness


def piston_position(stroke: float, rod_length: float, crank: float) -> float:
    """Distance of the piston below TDC, m, at a crank angle after or before TDC, deg.

    Closed form of crank and connecting rod, pin not offset; ValueError unless the rod is longer than half the stroke.
    Source: slider-crank, x = r(1 - cos t) + c - sqrt(c² - r² sin² t), derived here.

    >>> round(piston_position(100, 200, 90), 6)
    56.350833
    """
    throw = stroke / 2
    if not 0 < throw < rod_length:
        raise ValueError("a connecting rod is longer than half the stroke")
    angle = radians(crank)
    return throw * (1 - cos(angle)) + rod_length - sqrt(rod_length**2 - (throw * sin(angle)) ** 2)


def dynamic_compression_ratio(
    swept: float, clearance: float, stroke: float, rod_length: float, intake_closes: float
) -> float:
    """Compression ratio counted from the piston's position when the intake closes, deg after BDC.

    Geometry and seat-to-seat timing only; the filling of the cylinder at speed is not part of it.

    >>> round(dynamic_compression_ratio(120.0, 20.0, 100.0, 200.0, 60.0), 3)
    5.785
    """
    if not -180 < intake_closes < 180:
        raise ValueError("the intake valve closes within 180 deg of BDC")
    trapped = piston_position(stroke, rod_length, 180 + intake_closes) / stroke
    return compression_ratio(swept * trapped, clearance)
