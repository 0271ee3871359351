"""A pushrod's length from one convention to another: what holes take off balls, worked out a second time."""

from __future__ import annotations

from collections.abc import Mapping
from math import sqrt
from typing import Any

from written_amounts import one

Ends = list[tuple[float, float]]
"""Ball radius and oil hole of every end that is a ball, m."""


def balls(ends: Mapping[str, Any]) -> Ends:
    """The balls of a pushrod whose ends are alike or given one by one."""
    both = [ends["lifter"], ends["rocker"]] if "lifter" in ends else [ends, ends]
    return [(one(end["ball_radius"]), one(end.get("oil_hole", "0 in"))) for end in both if end["type"] == "ball"]


def stands_off(ends: Ends, convention: Mapping[str, Any] | str) -> float:
    """Full-ball length less the length as stated."""
    stated = convention if isinstance(convention, str) else convention["stated_as"]
    if stated == "full ball":
        return 0.0
    seat = 0.0 if stated == "overall" else one(convention["gauge_hole"])
    return sum(radius - sqrt(radius**2 - max(hole, seat) ** 2 / 4) for radius, hole in ends)


def measured_convention(rods: Mapping[str, Any]) -> Mapping[str, Any]:
    """The convention of the build's own results."""
    return {"stated_as": rods["measured_as"], "gauge_hole": rods.get("gauge_hole", "0 in")}


def as_measured(rods: Mapping[str, Any], convention: Mapping[str, Any] | str) -> float:
    """What is to be added to a length stated by some convention, so that it is as this build measures, m."""
    ends = balls(rods["ends"])
    return stands_off(ends, convention) - stands_off(ends, measured_convention(rods))


def stock_lengths(rods: Mapping[str, Any]) -> dict[tuple[float, str, str], float]:
    """Length as the supplier states it, its convention and hole -> the same pushrod as this build measures, m."""
    found = {}
    for entry in rods.get("stock", []):
        first, last, step = (one(entry[key]) for key in ("from", "to", "step"))
        for number in range(int((last - first) / step + 1e-6) + 1):
            stated = first + number * step
            found[round(stated, 9), entry["stated_as"], entry.get("gauge_hole", "")] = stated + as_measured(rods, entry)
    return found
