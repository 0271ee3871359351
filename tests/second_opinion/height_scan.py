"""How well each height of the pivot fits all readings of a valve: chi-square along a fine row of heights, no solver.

Widths share the ink band, and width and lines of a trial share the doubt of its length: their covariance is written out
and inverted at every height (generalised least squares), where the product lets them be free and fits them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from pivot_height import Rocker, sweep
from written_amounts import INCH

Array = np.ndarray
STEP = 0.0002 * INCH
HELD = 3.84
"""Chi-square of one degree of freedom that 95 % stay below."""
SIGN = 9.0
"""By so much the other sign of the height error must fit worse before it is ruled out."""


@dataclass(frozen=True)
class Reading:
    """One trial: how much lower its pivot stood than in the last, and the standard uncertainty of that; m.

    The width between the mark's edges as read, and the lines with the valve shut and open, where they were read.
    """

    lower: float
    u: float
    width: float | None
    lines: tuple[float, float] | None


@dataclass(frozen=True)
class Scan:
    """Height errors (m), chi-square at each, and how many readings there were."""

    errors: Array
    chi2: Array
    readings: int

    @property
    def least(self) -> float:
        return float(self.chi2.min())

    @property
    def held(self) -> list[tuple[float, float]]:
        """Runs of height errors that stay within the confidence of 95 %; those of a sign not ruled out, by itself."""
        inside = self.chi2 <= self.least + HELD
        for side in (self.errors > 0, self.errors < 0):
            own = np.where(side, self.chi2, np.inf)
            valley = 0 < np.argmin(own[side]) < side.sum() - 1
            if valley and self.least + HELD < own.min() < self.least + SIGN:
                inside |= own <= own.min() + HELD
        edges = np.flatnonzero(np.diff(np.concatenate(([False], inside, [False])).astype(int)))
        return [
            (float(self.errors[a]), float(self.errors[b - 1])) for a, b in zip(edges[::2], edges[1::2], strict=True)
        ]


def scan(rocker: Rocker, trials: Sequence[Reading], u_edge: float, u_band: float) -> Scan | None:
    """None where nothing was read. ``u_edge`` is one edge's standard uncertainty, ``u_band`` the ink band's (m)."""
    far = 0.45 * rocker.arm
    errors = np.arange(-far, far, STEP) + STEP / 7
    offs, errors_of, shared, lasting = [], [], [], []
    for place, trial in enumerate(trials):
        heights = rocker.lift / 2 + errors + trial.lower
        for is_width, found in _misses(rocker, trial, heights):
            offs.append(found)
            errors_of.append(place)
            shared.append(1.0 if is_width else 0.0)
            lasting.append(np.gradient(found, STEP) * trial.u)
    if not offs:
        return None
    miss, slips, band = np.array(offs).T, np.array(lasting).T, np.array(shared)
    same = np.array(errors_of)[:, None] == np.array(errors_of)[None, :]
    doubts = np.eye(len(band)) * 2 * u_edge**2 + np.outer(band, band) * u_band**2
    doubts = doubts[None] + slips[:, :, None] * slips[:, None, :] * same[None]
    solved = np.linalg.solve(doubts, miss[:, :, None])[:, :, 0]
    return Scan(errors, (miss * solved).sum(axis=1), len(band))


def _misses(rocker: Rocker, trial: Reading, heights: Array) -> list[tuple[bool, Array]]:
    found = []
    shut, opened = across(rocker, heights), across(rocker, heights - rocker.lift)
    if trial.width is not None:
        found.append((True, widths(rocker, heights) + rocker.band - trial.width))
    if trial.lines is not None:
        found.append((False, shut - opened - trial.lines[0] + trial.lines[1]))
    return found


def across(rocker: Rocker, below: Array) -> Array:
    """Contact across the tip, from the foot of the pivot, with the circle's centre so far above it."""
    return np.sqrt(np.maximum(rocker.arm**2 - below**2, 0.0))


def widths(rocker: Rocker, heights: Array) -> Array:
    ends = across(rocker, heights), across(rocker, heights - rocker.lift)
    passed = (heights > 0) & (heights < rocker.lift)
    return np.where(passed, rocker.arm, np.maximum(*ends)) - np.minimum(*ends)


def middle(rocker: Rocker, error: float) -> float:
    """Where the mark's centre lies from the foot of the pivot."""
    near, far = sweep(rocker, rocker.lift / 2 + error)
    return (near + far) / 2
