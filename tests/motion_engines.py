"""Simulated engines whose valves and piston move: independent of the product's formulas.

Piston and valve are points in the plane of the bore. The connecting rod is a circle cut by the bore's axis, and the gap
is the way of the valve along its own axis until it meets the piston's face, a line of the plane.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

Row = NDArray[np.float64]
INCH = 0.0254


def harmonic(share: Row) -> Row:
    """A lobe's lift as a share, ``share`` from -1 over the nose at 0 to 1."""
    return np.where(np.abs(share) < 1, np.cos(np.pi * share / 2) ** 2, 0.0)


def cycloidal(share: Row) -> Row:
    """The same by a cycloid."""
    rise = np.clip(1 - np.abs(share), 0.0, 1.0)
    return rise - np.sin(2 * np.pi * rise) / (2 * np.pi)


def polynomial(share: Row) -> Row:
    """The same by a polynomial of the fifth degree."""
    rise = np.clip(1 - np.abs(share), 0.0, 1.0)
    return 10 * rise**3 - 15 * rise**4 + 6 * rise**5


LOBES = {"cycloidal": cycloidal, "harmonic": harmonic, "polynomial": polynomial}


@dataclass(frozen=True)
class MovingEngine:
    """One valve over one piston, m and deg; crank angles from the overlap TDC. ``room``: free travel at TDC."""

    lobe: str
    lift: float
    duration: float
    nose: float
    stroke: float
    rod: float
    slant: float
    face: str
    room: float

    def valve_lift(self, crank: Row) -> Row:
        """Lift of the valve along its axis."""
        return self.lift * LOBES[self.lobe]((np.asarray(crank) - self.nose) / (self.duration / 2))

    def piston(self, crank: Row) -> Row:
        """Height of the piston over the crank's centre: where the rod's circle around the pin meets the bore."""
        pin = self.stroke / 2 * np.exp(1j * (np.pi / 2 - np.radians(crank)))
        return pin.imag + np.sqrt(self.rod**2 - pin.real**2)

    def travel(self, crank: Row) -> Row:
        """How far the valve can move from its seat until it meets the face: a ray that cuts a line."""
        along = np.array([np.sin(np.radians(self.slant)), -np.cos(np.radians(self.slant))])
        normal = -along if self.face == "pocket" else np.array([0.0, 1.0])
        top = float(self.piston(np.array(0.0)))
        met = self.room * along + np.array([0.0, top])  # on the face at TDC, with the seat at (0, top)
        fallen = np.stack([np.zeros_like(crank), self.piston(crank) - top], axis=-1)
        return (met + fallen - np.array([0.0, top])) @ normal / (along @ normal)

    def gap(self, crank: Row) -> Row:
        """Gap between valve and piston along the valve's axis."""
        return self.travel(crank) - self.valve_lift(crank)

    def least(self) -> tuple[float, float]:
        """The least gap and its crank angle, found on a grid of 0.01 deg."""
        crank = np.arange(-90.0, 90.0, 0.01)
        gaps = self.gap(crank)
        index = int(np.argmin(gaps))
        return float(gaps[index]), float(crank[index])


def with_least_gap(engine: MovingEngine, gap: float) -> MovingEngine:
    """The engine with its free travel at TDC chosen so that the least gap is as given (flat face or pocket)."""
    return replace(engine, room=engine.room + gap - engine.least()[0])
