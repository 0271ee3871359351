"""Plain (shoe) tips: their curve is centred above the pivot, and the mark's centre says which way to go."""

from math import cos, radians, sin

from buildcheck.formulas.rocker import height_error_from_width, sweep_width


def shoe_height(valve_arm: float, lift: float, width: float) -> float:
    """How high the shoe's curve is centred above the pivot with the valve shut, from the mark's width.

    Args: valve_arm: pivot to the centre of the curve (m); lift (m); width: the mark less its contact band
    (m).
    Returns: s0 (m). Valid where s0 exceeds the lift; ValueError for a mark too narrow for that, or beyond
    the arm.
    Source: rocker.height_error_from_width, on the side above the lift.

    >>> round(shoe_height(1.600, 0.450, 0.220), 4)
    0.9191
    """
    if width < sweep_width(valve_arm, lift, lift):
        raise ValueError("the mark is too narrow for a plain tip whose curve is centred above the pivot")
    return lift / 2 + height_error_from_width(valve_arm, lift, width)


def shoe_raise_to_centre(centre: float, lift: float, width: float, lean: float = 0.0) -> float:
    """How far to raise the pivot along its stud to bring a shoe tip's mark to the middle; negative lowers it.

    Args: centre: the mark's offset, positive away from the pivot (m); lift (m); width: of the mark less its
    contact band (m); lean: of the stud towards the valve (degrees).
    Returns: the raise (m), to first order, a quarter out with steep arms: mark again afterwards.
    ValueError where raising moves no mark.
    Source: each unit of height moves the mark by width/lift to the far side, the lean by its sine.

    >>> round(shoe_raise_to_centre(-0.020, 0.450, 0.180), 4)
    0.05
    """
    rate = width / lift * cos(radians(lean)) + sin(radians(lean))
    if rate <= 0:
        raise ValueError("raising the pivot along this stud does not move the mark to the far side")
    return -centre / rate
