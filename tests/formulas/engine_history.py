"""A valve train with a history, for tests: measure it, change parts, and measure it again.

Rigid bodies in the plane of the rocker, placed by coordinates and turned until they touch. Nothing here is imported
from the product or shares a formula with it. The valve's tip is the origin of each state, its axis points up, and x
runs away from the pivot. Lengths have any one unit.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import acos, asin, atan2, cos, hypot, pi, radians, sin, sqrt
from random import Random

Point = tuple[float, float]


@dataclass(frozen=True)
class Engine:
    """One valve train: where its parts are, in the frame of the closed valve's tip.

    ``pivot``; ``arm`` to the centre of the tip circle of ``radius``; ``cup_arm`` to the pushrod cup, ``bend`` radians
    off the straight continuation of the arm. ``foot``: the lifter cup on the base circle; the lifter rises ``lobe``
    along ``bore``. ``lean``: of the stud towards the valve, radians.
    """

    pivot: Point
    arm: float
    radius: float
    cup_arm: float
    bend: float
    foot: Point
    bore: Point
    lobe: float
    lean: float = 0.0

    def turn(self, lift: float = 0.0) -> float:
        """The angle of the valve arm at which the tip circle touches the tip face."""
        return asin((self.radius - lift - self.pivot[1]) / self.arm)

    def cup(self, turn: float) -> Point:
        """Where the rocker holds the pushrod."""
        angle = turn + pi + self.bend
        return self.pivot[0] + self.cup_arm * cos(angle), self.pivot[1] + self.cup_arm * sin(angle)

    def pushrod(self) -> float:
        """The distance between both cups with the valve closed and no clearance."""
        return _apart(self.cup(self.turn()), self.foot)

    def contact(self, lift: float = 0.0) -> float:
        """Where the tip circle touches the tip face, from the tip's centre."""
        return self.pivot[0] + self.arm * cos(self.turn(lift))

    def lift(self) -> float:
        """How far the valve opens at the top of the lobe: the lifter rises, and the pushrod keeps its length."""
        length = self.pushrod()
        risen = self.foot[0] + self.lobe * self.bore[0], self.foot[1] + self.lobe * self.bore[1]
        apart = _apart(risen, self.pivot)
        corner = acos((self.cup_arm**2 + apart**2 - length**2) / (2 * self.cup_arm * apart))
        towards = atan2(risen[1] - self.pivot[1], risen[0] - self.pivot[0])
        turn = (towards - corner - pi - self.bend + pi) % (2 * pi) - pi
        return self.radius - self.pivot[1] - self.arm * sin(turn)

    def height_error(self) -> float:
        """How far the pivot is too low for the arm to be square to the valve at half its lift."""
        return self.radius - self.pivot[1] - self.lift() / 2

    def mark(self) -> Point:
        """The least and the greatest contact over the whole lift."""
        low, high = self.turn(self.lift()), self.turn()
        ends = [cos(low), cos(high), *([1.0] if low < 0 < high else [])]
        return self.pivot[0] + self.arm * min(ends), self.pivot[0] + self.arm * max(ends)

    def with_pushrod(self, length: float) -> Engine:
        """The same engine with the nut turned until this pushrod has no clearance."""
        low, high = -0.3 * self.arm, 0.3 * self.arm
        for _ in range(60):
            middle = (low + high) / 2
            low, high = (middle, high) if self.raised(middle).pushrod() < length else (low, middle)
        return self.raised(low)

    def raised(self, by: float) -> Engine:
        """The pivot higher along its stud or on a shim."""
        return replace(self, pivot=(self.pivot[0] + by * sin(self.lean), self.pivot[1] + by * cos(self.lean)))

    def head_nearer(self, cut: float) -> Engine:
        """Block or head milled, or a thinner gasket: the lifter comes nearer along its bore."""
        return replace(self, foot=(self.foot[0] + cut * self.bore[0], self.foot[1] + cut * self.bore[1]))

    def base_circle_smaller(self, diameter: float) -> Engine:
        """A base circle of smaller diameter: the lifter is lower by half of it."""
        return self.head_nearer(-diameter / 2)

    def tip_higher(self, by: float) -> Engine:
        """A longer valve or a lash cap: everything else is lower in the frame of the tip."""
        return replace(self, pivot=(self.pivot[0], self.pivot[1] - by), foot=(self.foot[0], self.foot[1] - by))

    def with_lobe(self, lobe: float) -> Engine:
        """Another lobe lift on the same base circle."""
        return replace(self, lobe=lobe)


def drawn(random: Random, shut_height: float | None = None, lean: float = 0.0) -> tuple[Engine, float]:
    """An engine in inches and its ratio at the closed valve: up to 8 degrees of inclination and of bend.

    ``shut_height``: of the tip circle's centre over the pivot, valve closed; half the lift and up to 0.06 in off if
    not given, which is a roller's.
    """
    arm, ratio, lobe = random.uniform(1.35, 1.70), random.choice([1.5, 1.6, 1.7]), random.uniform(0.28, 0.34)
    height = lobe * ratio / 2 + random.uniform(-0.06, 0.06) if shut_height is None else shut_height
    radius = 0.25 if shut_height is None else 0.90
    bend, slant = radians(random.uniform(-8, 8)), radians(random.uniform(-8, 8))
    level = sqrt(arm**2 - height**2)
    pivot = (-level + random.uniform(-0.02, 0.02), radius - height)
    lever = level / ratio / cos(asin(height / arm) + bend + slant)
    bore = (sin(slant / 2), cos(slant / 2))
    engine = Engine(pivot, arm, radius, lever, bend, (0.0, 0.0), bore, lobe, lean)
    cup = engine.cup(engine.turn())
    return replace(engine, foot=(cup[0] - 8.5 * sin(slant), cup[1] - 8.5 * cos(slant))), ratio


def _apart(one: Point, other: Point) -> float:
    return hypot(one[0] - other[0], one[1] - other[1])
