"""How a reading changes when parts change after it was taken; lengths in m.

A reading says two things: the length of the checking pushrod at zero lash, and the height error q of the pivot with
it. With a nut on a stud the two are a pair: the length leads to that height. Every change is positive as named:
metal milled off, a thicker gasket, a lower lifter cup, a larger base circle, a raised pedestal, a higher valve tip,
more lobe lift.
"""

from __future__ import annotations

from buildcheck.formulas.mark import mark_offset
from buildcheck.formulas.rocker import pivot_offset_from_centre, swept
from buildcheck.record import Record

SHARE = 0.05
"""Expanded share of each first-order term: what pushrod inclination, side offset and rocker bend can add.

Found with a rigid-body model up to 8 degrees of inclination, 0.6 in of side offset and 10 degrees of bend.
"""


class ReadingEffect(Record):
    """What one unit of a change adds to the zero-lash length, and to the height error that goes with it (1)."""

    length: float
    height: float


def effects(ratio: float, pivot_free: bool, per_height: float | None = None) -> dict[str, ReadingEffect]:
    """What one unit of each change does to a reading taken before it.

    Args: ratio: of the rocker (1); pivot_free: a nut on a stud sets the pivot's height; per_height: pushrod length
    for each unit of pivot height (1), 1 + 1/ratio if not given.
    Returns: by the change's name, the effect on the zero-lash length and on q. With a nut: on the pair of both.
    First order in the changes. ValueError for a ratio not above zero.
    Source: the rocker turns about the valve's tip; half of a change of lift moves mid-lift.

    >>> fixed, nut = effects(1.6, pivot_free=False), effects(1.6, pivot_free=True)
    >>> fixed["pedestal_raised"], nut["tip_higher"]
    (ReadingEffect(length=1.625, height=-1.0), ReadingEffect(length=1.0, height=0.0))
    >>> fixed["tip_higher"], fixed["lobe_lift"] == nut["lobe_lift"]
    (ReadingEffect(length=-0.625, height=1.0), True)
    >>> nut["head_milled"], nut["gasket_thickness"]
    (ReadingEffect(length=-1.0, height=0.0), ReadingEffect(length=1.0, height=0.0))
    >>> nut["lobe_lift"]
    ReadingEffect(length=0.0, height=-0.8)
    """
    if ratio <= 0:
        raise ValueError("a rocker ratio is above zero")
    factor = 1 + 1 / ratio if per_height is None else per_height
    higher = ReadingEffect(1.0, 0.0) if pivot_free else ReadingEffect(-1 / ratio, 1.0)
    found = {
        "block_milled": ReadingEffect(-1.0, 0.0),
        "head_milled": ReadingEffect(-1.0, 0.0),
        "head_height": ReadingEffect(1.0, 0.0),
        "gasket_thickness": ReadingEffect(1.0, 0.0),
        "base_circle_diameter": ReadingEffect(-0.5, 0.0),
        "lifter_cup_lower": ReadingEffect(1.0, 0.0),
        "lobe_lift": ReadingEffect(0.0, -ratio / 2),
        "seat_sunk": higher,
        "tip_higher": higher,
    }
    return found if pivot_free else {**found, "pedestal_raised": ReadingEffect(factor, -1.0)}


def required_length_change(effect: ReadingEffect, pivot_free: bool, per_height: float) -> float:
    """What one unit of a change does to the required length at the same preload.

    Args: effect; pivot_free; per_height: pushrod length for each unit of pivot height (1).
    Returns: the change (1). With a nut the pushrod follows the height error, on a fixed pivot it does not.
    Source: the pushrod that puts q back to where it was is longer by q times per_height.

    >>> required_length_change(effects(1.6, True)["lobe_lift"], True, 1.625)
    -1.3
    >>> required_length_change(effects(1.6, False)["lobe_lift"], False, 1.625)
    0.0
    """
    return effect.length + (effect.height * per_height if pivot_free else 0.0)


def height_error_with_same_pushrod(effect: ReadingEffect, per_height: float) -> float:
    """What one unit of a change does to q if a nut is set to zero lash again over the same pushrod.

    Args: effect: of the change, with a nut; per_height: pushrod length for each unit of pivot height (1).
    Returns: the change of q (1). Source: a pushrod too long by d lifts the pivot by d/per_height.

    >>> nut = effects(1.6, True)
    >>> milled, higher = (height_error_with_same_pushrod(nut[name], 1.625) for name in ("head_milled", "tip_higher"))
    >>> round(milled, 4) == round(-1 / 1.625, 4), round(higher, 4) == round(1.6 / 2.6, 4)
    (True, True)
    """
    return effect.height + effect.length / per_height


def carried(reading: float, change: float, per_unit: float) -> float:
    """A length or height error after one change, m: the reading plus the change times its effect.

    >>> metric = effects(1.7, pivot_free=False)
    >>> milled = carried(190.69, 0.75, metric["head_milled"].length)
    >>> round(carried(milled, 0.25, metric["pedestal_raised"].length), 3)
    190.337
    """
    return reading + change * per_unit


def predicted_mark(
    valve_arm: float, lift: float, height_error: float, pivot_offset: float, tip_diameter: float, band: float = 0.0
) -> tuple[float, float]:
    """Edges of the mark to expect from a tip circle, from the pivot-side edge of the tip.

    Args: valve_arm (m); lift (m); height_error: q (m), for a pad tip its s0 less half the lift; pivot_offset: from
    the pivot to the valve's axis (m); tip_diameter (m); band: width of the mark when nothing moves (m).
    Returns: both edges (m); beyond the tip where the mark would run off. Source: rocker.swept.

    >>> [round(edge, 5) for edge in predicted_mark(1.550, 0.560, 0.040, 1.530, 0.310, 0.012)]
    [0.13561, 0.181]
    """
    near, far = swept(valve_arm, lift, height_error + lift / 2)
    middle = tip_diameter / 2 - pivot_offset
    return near + middle - band / 2, far + middle + band / 2


def pivot_offset_from_mark(
    valve_arm: float, lift: float, height_error: float, edges: tuple[float, float], tip_diameter: float
) -> float:
    """The distance from the pivot to the valve's axis that a mark shows, given the height error it was made at.

    Args: as for predicted_mark; edges: of the mark, from the pivot-side edge of the tip (m).
    Returns: the distance (m). Changes along the valve leave it as it is. Source: predicted_mark, reversed.

    >>> round(pivot_offset_from_mark(1.550, 0.560, 0.040, (0.13561, 0.181), 0.310), 4)
    1.53
    """
    return pivot_offset_from_centre(valve_arm, lift, height_error, mark_offset(*edges, tip_diameter))
