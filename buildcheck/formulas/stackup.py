"""Which pushrod length to expect from a known length on known parts, before measuring; all in m."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, fields


@dataclass(frozen=True, slots=True)
class Changes:
    """What was changed since the known length, m; of a size known before and after: after less before.

    ``head_height``: deck to rocker pivot, the tip rising with it. ``pedestal_raised``: the tip staying put.
    """

    block_milled: float = 0.0
    head_milled: float = 0.0
    head_height: float = 0.0
    gasket_thickness: float = 0.0
    base_circle_diameter: float = 0.0
    lifter_cup_lower: float = 0.0
    pedestal_raised: float = 0.0
    tip_higher: float = 0.0


def contributions(changes: Changes, ratio: float, pivot_free: bool) -> list[tuple[str, float]]:
    """What each change does to the length at the same preload, m, longer positive; no zeros listed.

    ``pivot_free``: a stud with its nut, where the length follows the mark; else the rocker's height is fixed.
    First order in the changes; pushrod parallel to the valve.

    >>> contributions(Changes(block_milled=0.010, pedestal_raised=0.050), ratio=1.6, pivot_free=False)
    [('block_milled', -0.01), ('pedestal_raised', 0.08125)]
    """
    if ratio <= 0:
        raise ValueError("a rocker ratio is above zero")
    if pivot_free and changes.pedestal_raised:
        raise ValueError("a rocker on a stud with a nut has no pedestal to raise")
    factor = {
        "block_milled": -1.0,
        "head_milled": -1.0,
        "head_height": 1.0,
        "gasket_thickness": 1.0,
        "base_circle_diameter": -0.5,
        "lifter_cup_lower": 1.0,
        "pedestal_raised": 1 + 1 / ratio,
        "tip_higher": 1.0 if pivot_free else -1 / ratio,
    }
    changed = [(field.name, float(getattr(changes, field.name))) for field in fields(changes)]
    return [(name, factor[name] * amount) for name, amount in changed if amount]


def predicted_length(baseline: float, parts: Iterable[tuple[str, float]]) -> float:
    """The known length with all contributions added, m, in the known length's convention and at its preload.

    >>> predicted_length(9.5, [("block_milled", -0.25), ("gasket_thickness", 0.5)])
    9.75
    """
    return baseline + sum(amount for _, amount in parts)
