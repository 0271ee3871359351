"""Answers a near-miss key or choice with the word that was meant."""

from __future__ import annotations

from collections.abc import Iterable
from types import MappingProxyType

_LONGEST = 60  # a longer key is no typing error, and comparing it would be slow
_NEAR, _CLEARLY = 0.7, 0.05  # how alike two words must be, and by how much more than the next

# words of the bench -> the words used in the files
TRADE = MappingProxyType(
    {
        "arm": "valve_arm",
        "bound_height": "coil_bind_height",
        "cam_advance": "advance",
        "centerline": "centreline",
        "coil_bind": "coil_bind_height",
        "compressed_thickness": "thickness",
        "cylinder_count": "cylinders",
        "deck": "deck_clearance",
        "dish": "piston_volume",
        "dome": "piston_volume",
        "drilled_hole": "oil_hole",
        "head_cc": "chamber_volume",
        "icl": "centreline",
        "inlet": "intake",
        "lift": "lobe_lift",
        "lobe_center": "centreline",
        "lobe_centre": "centreline",
        "modulus": "elastic_modulus",
        "od": "diameter",
        "open_at_full_lift": "open_at",
        "outside_diameter": "diameter",
        "ptv": "piston_to_valve",
        "reason": "because",
        "rocker_ratio": "ratio",
        "runout": "run_out",
        "seat_pressure": "seat_force",
        "shoe": "pad",
        "shims": "shim",
        "solid_height": "coil_bind_height",
        "spring_rate": "rate",
        "stand": "pedestal",
        "thread": "adjuster_thread",
        "tip_dia": "tip_diameter",
        "valve_clearance": "lash",
        "valve_diameter": "tip_diameter",
        "valve_lash": "lash",
        "wall_thickness": "wall",
        "yield": "yield_strength",
        "youngs_modulus": "elastic_modulus",
    }
)
# parts of words that the trade says in more than one way
_PARTS = (("push_rod", "pushrod"), ("center", "centre"), ("tappet", "lifter"), ("follower", "lifter"))


def suggest(word: str, known: Iterable[str]) -> str | None:
    """The known word that a near miss means, None where nothing comes near.

    >>> suggest("stand", ["stud", "pedestal", "shaft"])
    'pedestal'
    >>> suggest("pushrod to head", ["pushrod_to_head", "valve_lift"])
    'pushrod_to_head'
    """
    if len(word) > _LONGEST:
        return None
    spellings = {_plain(name): name for name in sorted(known)}
    tidy = _plain(word)
    for old, new in _PARTS:
        tidy = tidy.replace(old, new)
    if tidy in spellings:
        return spellings[tidy]
    if _plain(TRADE.get(tidy, "")) in spellings:
        return TRADE[tidy]
    close = sorted(((_likeness(tidy, spelling), spelling) for spelling in spellings), reverse=True)
    (best, first), (second, _) = [*close, (0.0, ""), (0.0, "")][:2]
    return spellings[first] if best >= _NEAR and best - second >= _CLEARLY else None


def _likeness(one: str, other: str) -> float:
    from difflib import SequenceMatcher

    return SequenceMatcher(None, one, other).ratio()


def _plain(word: str) -> str:
    return "_".join(word.lower().replace("-", " ").replace("_", " ").split())
