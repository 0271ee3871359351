"""Engines of which the truth is known, for simulated trial and error: rigid bodies solved numerically, read with noise.

Nothing here shares a formula with the tool. Lengths are in inches.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass, field, replace
from math import pi, radians
from pathlib import Path
from random import Random

import numpy as np

sys.path.insert(0, str(Path(__file__).parent.parent / "formulas"))
from planar_model import PlanarEngine, turned

PACK = 0.200
"""Shim under a fixed rocker at the first trial, some of which can come out."""

EDGE, CALIPER, FEEL = 0.0015, 0.0005, 0.0010
"""Standard deviations of a reading on the tip, of the caliper and of the feel for zero lash."""


@dataclass(frozen=True)
class Design:
    """What all valves of one engine share, as its files say."""

    valve_arm: float
    ratio: float
    lift: float
    tip_diameter: float
    lean: float
    inclination: float
    band: float
    fixed: bool
    pad_tip: bool


@dataclass(frozen=True)
class Valve:
    """One valve: its engine with the pivot where the first trial finds it, and its pushrod at zero lash there."""

    design: Design
    engine: PlanarEngine
    random: Random = field(repr=False)

    def stands(self, length: float, shim: float) -> PlanarEngine:
        """The engine with this pushrod under a nut, or this shim under a fixed rocker."""
        return (
            self.engine.raised(shim - PACK) if self.design.fixed else self.engine.raised(self.engine.raise_for(length))
        )

    def error(self, length: float, shim: float) -> float:
        """How far the pivot truly sits too low for mid-lift; for a pad, how far its mark is truly off centre."""
        stands = self.stands(length, shim)
        if self.design.pad_tip:
            return sum(stands.mark(self.design.lift)) / 2
        circle = stands.circle(stands.touching()) - np.asarray(stands.pivot)
        return float(turned((0, 1), stands.tilt) @ circle) - self.design.lift / 2

    def length(self, shim: float) -> float:
        """The pushrod at zero lash over this shim, as found by feel and caliper."""
        found = self.engine.raised(shim - PACK).rod() if self.design.fixed else self.engine.rod()
        return found + self.random.gauss(0, FEEL) + self.random.gauss(0, CALIPER)

    def mark(self, length: float, shim: float) -> tuple[float, float]:
        """The mark's edges as read from the pivot-side edge of the tip, cut where the tip ends."""
        near, far = self.stands(length, shim).mark(self.design.lift)
        edges = near - self.design.band / 2, far + self.design.band / 2
        read = [edge + self.design.tip_diameter / 2 + self.random.gauss(0, EDGE) for edge in edges]
        return max(round(read[0], 3), 0.0), min(round(read[1], 3), self.design.tip_diameter)

    def lines(self, length: float, shim: float) -> tuple[float, float]:
        """Where the roller is read to stand with the valve shut and at full lift."""
        stands = self.stands(length, shim)
        shut, opened = (stands.contact(at) + self.design.tip_diameter / 2 for at in (0.0, self.design.lift))
        return round(shut + self.random.gauss(0, EDGE), 3), round(opened + self.random.gauss(0, EDGE), 3)


def design(random: Random, fixed: bool = False, pad_tip: bool = False) -> Design:
    """One engine's rockers as a catalogue might have them."""
    return Design(
        valve_arm=round(random.uniform(1.35, 1.70), 3),
        ratio=random.choice([1.5, 1.6, 1.7]),
        lift=round(random.uniform(0.42, 0.58), 3),
        tip_diameter=random.choice([0.310, 0.342]),
        lean=0.0 if fixed else random.choice([0.0, 0.0, 3.0, -3.0]),
        inclination=random.choice([0.0, 3.0, 6.0]),
        band=round(random.uniform(0.006, 0.014), 3),
        fixed=fixed,
        pad_tip=pad_tip,
    )


def valve(shared: Design, random: Random, off: float) -> Valve:
    """A valve whose first pushrod is ``off`` too short (on a fixed mount: whose pivot is as much too low)."""
    best = random.uniform(0.62, 0.72) if shared.pad_tip else shared.lift / 2
    engine = _placed(shared, random, best)
    aside = 0.0 if shared.pad_tip else random.uniform(-0.012, 0.012)
    centred = sum(engine.mark(shared.lift)) / 2 - aside
    middle = np.asarray(engine.tip) + centred * turned((1, 0), engine.tilt)
    engine = replace(engine, tip=tuple(middle))
    lowered = -off if shared.fixed else engine.raise_for(engine.rod() - off)
    return Valve(shared, engine.raised(lowered), random)


def _placed(shared: Design, random: Random, shut_height: float) -> PlanarEngine:
    """An engine in a frame of its own, its arms made so that the ratio at the shut valve is as the files say."""
    tilt, origin = random.uniform(-0.4, 0.4), np.array([random.uniform(-3, 3), random.uniform(-3, 3)])
    radius = 0.90 if shared.pad_tip else 0.25
    pivot = origin + turned((-((shared.valve_arm**2 - shut_height**2) ** 0.5), radius - shut_height), tilt)
    bend = radians(random.uniform(-6, 6))
    arm, apart = shared.valve_arm / shared.ratio, pi + bend
    engine = PlanarEngine(tuple(origin), tilt, tuple(pivot), shared.valve_arm, radius, arm, apart, radians(shared.lean))
    for _ in range(3):
        down = turned((-np.sin(radians(shared.inclination)), -np.cos(radians(shared.inclination))), tilt)
        engine = replace(engine, foot=tuple(engine.cup(engine.touching()) + 8.5 * down))
        engine = replace(engine, pushrod_arm=engine.pushrod_arm * engine.ratio() / shared.ratio)
    down = turned((-np.sin(radians(shared.inclination)), -np.cos(radians(shared.inclination))), tilt)
    return replace(engine, foot=tuple(engine.cup(engine.touching()) + 8.5 * down))
