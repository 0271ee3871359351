"""Where a pivot stands, from the marks of all trials at once: least squares by scipy, geometry written again."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt

import numpy as np
from scipy.optimize import brentq, least_squares


@dataclass(frozen=True)
class Rocker:
    """Arm to the tip circle's centre, sweep, ink band, tip diameter (m), pushrod per height of pivot, stud's lean.

    ``lean`` is how far the pivot comes nearer to the valve for each unit that it rises.
    """

    arm: float
    lift: float
    band: float
    tip: float
    per_height: float
    lean: float
    roller: bool


@dataclass(frozen=True)
class Shown:
    """One trial: how much longer than the last, its standard uncertainty, edges and lines from the pivot's side (m)."""

    longer: float
    u: float
    edges: tuple[float, float] | None
    lines: tuple[float, float] | None


def spot(rocker: Rocker, height: float, lifted: float) -> float:
    """Contact across the tip, from the foot of the pivot: the circle's centre stands ``height`` above it, shut."""
    return sqrt(rocker.arm**2 - (height - lifted) ** 2)


def sweep(rocker: Rocker, height: float) -> tuple[float, float]:
    """Nearest and farthest contact: at an end of the lift, or square to the valve on the way."""
    ends = [spot(rocker, height, lifted) for lifted in (0.0, rocker.lift)]
    return min(ends), rocker.arm if 0 < height < rocker.lift else max(ends)


def heights(rocker: Rocker, trials: Sequence[Shown], u_edge: float) -> list[float]:
    """Heights of the circle's centre over the pivot, valve shut, in the last trial: every one that fits well.

    The ink band and each trial's length are free within their own uncertainty, as further readings.
    """
    width, middle = u_edge * sqrt(2), rocker.lift / 2

    def misses(x: np.ndarray) -> list[float]:
        height, band, *slips = x
        found = [band, *slips]
        for one, slip in zip(trials, slips, strict=True):
            here = height - (one.longer + slip * one.u) / rocker.per_height
            if one.edges:
                near, far = sweep(rocker, here)
                found.append((far - near + rocker.band - one.edges[1] + one.edges[0]) / width + band)
            if one.lines:
                apart = spot(rocker, here, 0.0) - spot(rocker, here, rocker.lift)
                found.append((apart - one.lines[0] + one.lines[1]) / width)
        return found

    starts = [0.2 * middle, 1.8 * middle] if rocker.roller else [3.0 * middle]
    limits = [np.array([0.6 * rocker.arm, 9.0, *(9.0 for _ in trials)]) * side for side in (-1, 1)]
    sizes = [0.2 * middle, 1.0, *(1.0 for _ in trials)]
    begun = [[start, 0.0, *(0.0 for _ in trials)] for start in starts]
    fits = [least_squares(misses, x, bounds=limits, x_scale=sizes) for x in begun]
    best = min(fit.cost for fit in fits)
    good = sorted(float(fit.x[0]) for fit in fits if 2 * (fit.cost - best) < 9)
    return good[:1] if good[-1] - good[0] < 1e-6 else good


def edges_after(rocker: Rocker, last: Shown, height: float, raised: float) -> tuple[float, float]:
    """The mark's edges once the pivot is raised, carried on from those that were read."""
    assert last.edges
    near, far = sweep(rocker, height)
    off = sum(last.edges) / 2 - (near + far) / 2 + raised * rocker.lean
    near, far = sweep(rocker, height - raised)
    return near + off - rocker.band / 2, far + off + rocker.band / 2


def raise_for_the_middle(rocker: Rocker, last: Shown, height: float) -> float:
    """How far a pad's pivot must rise for its mark to lie in the middle: up to where the mark is narrowest."""

    def aside(raised: float) -> float:
        return sum(edges_after(rocker, last, height, raised)) - rocker.tip

    return float(brentq(aside, -0.4 * rocker.arm, height - rocker.lift / 2, xtol=1e-12))
