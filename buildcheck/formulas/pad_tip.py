"""Pad tips: the pad curve is centred above the pivot, and the mark's centre says which way to go."""

from math import radians, tan

from buildcheck.formulas.numeric import find_root, minimise
from buildcheck.formulas.rocker import (
    centre_at,
    height_error_from_centre,
    height_error_from_width,
    pivot_offset_from_centre,
    sweep_width,
)

TOL, PICOMETRE = 1e-7, 1e-12


def pad_tip_height(valve_arm: float, lift: float, width: float) -> float:
    """How high the pad's curve is centred above the pivot with the valve shut, from the mark's width.

    Args: valve_arm: pivot to the centre of the curve (m); lift (m); width: the mark less its contact band
    (m).
    Returns: s0 (m). Valid where s0 exceeds the lift; ValueError for a mark too narrow for that, or beyond
    the arm.
    Source: rocker.height_error_from_width, on the side above the lift.

    >>> round(pad_tip_height(1.600, 0.450, 0.220), 4)
    0.9191
    """
    if width < sweep_width(valve_arm, lift, lift):
        raise ValueError("the mark is too narrow for a pad tip with its centre of curvature above the pivot")
    return lift / 2 + height_error_from_width(valve_arm, lift, width)


def pad_tip_centre(
    valve_arm: float, lift: float, width: float, centre: float, lean: float = 0.0, rise: float = 0.0
) -> float:
    """Distance of the mark of a pad tip from the tip centre once its pivot is higher than when the mark was made.

    Args: valve_arm: pivot to the centre of the curve (m); lift (m); width: of the mark less its contact band (m);
    centre: its offset now, positive away from the pivot (m); lean: of the stud towards the valve (degrees); rise:
    of the pivot, along the valve (m).
    Returns: the offset then (m). ValueError beyond the arm, or for a mark wider than it can sweep.
    Source: rocker.centre_at_narrowest, for any height in place of the best.

    >>> round(pad_tip_centre(0.036, 0.00918, 0.0023, -0.0009, rise=0.003), 5)
    -0.00027
    """
    here = height_error_from_width(valve_arm, lift, width)
    offset = pivot_offset_from_centre(valve_arm, lift, here, centre)
    return centre_at(valve_arm, lift, here - rise, offset - rise * tan(radians(lean)))


def pad_tip_rise_to_farthest(valve_arm: float, lift: float, width: float, centre: float, lean: float = 0.0) -> float:
    """Distance to raise the pivot so that the mark of a pad tip lies as far from the pivot as possible.

    Args: as for pad_tip_centre. Returns: the rise along the valve (m), to a tenth of a micrometre: raised beyond, the
    mark turns back; negative where it has done so already, as on a stud leaning away.
    ValueError as for pad_tip_centre. Source: pad_tip_centre; its curve over the rise bends down everywhere.

    >>> round(pad_tip_rise_to_farthest(0.036, 0.00918, 0.0020, -0.0017), 6)
    0.007598
    """
    highest = height_error_from_width(valve_arm, lift, width)
    lowest_rise = highest - (valve_arm - lift / 2)
    return minimise(lambda rise: -pad_tip_centre(valve_arm, lift, width, centre, lean, rise), lowest_rise, highest, TOL)


def pad_tip_rise_to_centre(valve_arm: float, lift: float, width: float, centre: float, lean: float = 0.0) -> float:
    """Distance to raise the pivot so that the mark of a pad tip comes to the middle; negative: lower it.

    Args: as for pad_tip_centre. Returns: the rise along the valve (m), to first order -centre*lift/width on an upright
    stud; where no height brings the mark so far from the pivot, the one that brings it farthest.
    ValueError where raising does not move the mark to the far side, and as for pad_tip_centre.
    Source: pad_tip_centre solved for zero; on an upright stud in closed form, rocker.height_error_from_centre.

    >>> [round(pad_tip_rise_to_centre(0.036, 0.00918, *mark), 5) for mark in ((0.0023, -0.0009), (0.0020, -0.0017))]
    [0.00499, 0.0076]
    """
    here, reach = height_error_from_width(valve_arm, lift, width), valve_arm - lift / 2
    offset = pivot_offset_from_centre(valve_arm, lift, here, centre)
    if not lean and centre_at(valve_arm, lift, reach, offset) <= 0 < centre_at(valve_arm, lift, TOL, offset):
        return here - height_error_from_centre(valve_arm, lift, offset)
    return _solved_rise(valve_arm, lift, width, centre, lean, here - reach)


def _solved_rise(valve_arm: float, lift: float, width: float, centre: float, lean: float, least: float) -> float:
    """pad_tip_rise_to_centre on any stud; ``least``: the rise that lowers the pivot as far as the arm allows (m)."""

    def at(rise: float) -> tuple[float, float]:
        return rise, pad_tip_centre(valve_arm, lift, width, centre, lean, rise)

    farthest, lowered = at(pad_tip_rise_to_farthest(valve_arm, lift, width, centre, lean)), at(least)
    if farthest[0] < -2 * TOL or lowered[1] > 0:
        raise ValueError("raising the pivot along this stud does not move the mark to the far side")
    return find_root(lambda rise: at(rise)[1], lowered, farthest, PICOMETRE) if farthest[1] > 0 else farthest[0]
