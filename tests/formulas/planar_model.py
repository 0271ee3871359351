"""An independent planar engine for tests: rigid bodies placed anywhere in the plane and solved numerically.

Nothing here shares a formula with the tool: the rocker is turned until its tip circle lies against the
valve's face (shapely measures the gap), and the pushrod is a distance between two points.
"""

from dataclasses import dataclass, replace
from math import cos, radians, sin

import numpy as np
from scipy.optimize import brentq, fsolve, minimize_scalar
from shapely import LineString, Point
from shapely.ops import nearest_points


def turned(vector, angle):
    (x, y), c, s = vector, cos(angle), sin(angle)
    return np.array((c * x - s * y, s * x + c * y))


@dataclass(frozen=True)
class PlanarEngine:
    """Valve tip's centre, tilt of the valve's axis, pivot, arms and lifter cup in any frame; angles in rad."""

    tip: tuple
    tilt: float
    pivot: tuple
    valve_arm: float
    tip_radius: float
    pushrod_arm: float
    arms_apart: float
    lean: float
    foot: tuple = (0.0, 0.0)

    def face(self, lift):
        """The valve's face as a long line; it goes down the stem's axis as the valve opens."""
        middle = np.asarray(self.tip) - lift * turned((0, 1), self.tilt)
        along = turned((1, 0), self.tilt)
        return LineString([middle - 10 * self.valve_arm * along, middle + 10 * self.valve_arm * along])

    def gap(self, angle, lift):
        """Signed distance from the tip circle to the face with the valve's arm at an angle to the face."""
        return self.gap_over(self.face(lift), turned((0, 1), self.tilt), angle, lift)

    def gap_over(self, face, up, angle, lift):
        """The same over a face that is drawn already, with the direction out of it."""
        centre = self.circle(angle)
        above = 1.0 if up @ (centre - self.tip) + lift > 0 else -1.0
        return above * face.distance(Point(centre)) - self.tip_radius

    def circle(self, angle):
        return np.asarray(self.pivot) + self.valve_arm * turned((1, 0), self.tilt + angle)

    def cup(self, angle):
        return np.asarray(self.pivot) + self.pushrod_arm * turned((1, 0), self.tilt + angle + self.arms_apart)

    def touching(self, lift=0.0):
        """The arm's angle at which the circle just touches the face."""
        face, up = self.face(lift), turned((0, 1), self.tilt)
        return brentq(lambda angle: self.gap_over(face, up, angle, lift), -1.45, 1.45, xtol=1e-14, rtol=1e-14)

    def contact(self, lift):
        """Where on the face it touches, from the tip's centre, positive away from the pivot."""
        face = self.face(lift)
        spot = nearest_points(face, Point(self.circle(self.touching(lift))))[0]
        return float(turned((1, 0), self.tilt) @ (np.array(spot.coords[0]) - self.tip))

    def mark(self, lift):
        """The mark's ends: least and greatest contact over the lift."""
        found = []
        for sign in (1, -1):
            fine = {"xatol": lift * 1e-4}
            inside = minimize_scalar(lambda at, s=sign: s * self.contact(at), bounds=(0, lift), options=fine)
            found.append(sign * min(inside.fun, sign * self.contact(0.0), sign * self.contact(lift)))
        return found[0], found[1]

    def raised(self, by):
        """The same engine with its pivot higher along the stud, which leans towards the valve."""
        along = turned((sin(self.lean), cos(self.lean)), self.tilt)
        return replace(self, pivot=tuple(np.asarray(self.pivot) + by * along))

    def rod(self, lift=0.0):
        """The distance between both cups."""
        return float(np.linalg.norm(self.cup(self.touching(lift)) - self.foot))

    def raise_for(self, length):
        """The raise at which the circle touches and the cups stand a length apart: both solved at once."""

        def misses(unknown):
            moved = self.raised(unknown[0] * self.valve_arm)
            apart = np.linalg.norm(moved.cup(unknown[1]) - self.foot) - length
            return moved.gap(unknown[1], 0.0) / self.valve_arm, apart / self.valve_arm

        return float(fsolve(misses, (0.0, self.touching()), xtol=1e-10)[0]) * self.valve_arm

    def ratio(self):
        """Valve movement over pushrod movement at the shut valve, from a small turn about the pivot."""
        angle, turn = self.touching(), 1e-5
        down = turned((0, -1), self.tilt) @ (self.circle(angle + turn) - self.circle(angle - turn))
        before, after = (np.linalg.norm(self.cup(angle + by) - self.foot) for by in (-turn, turn))
        return float(down / (after - before))


def drawn(rng, unit):
    """A random engine in any frame, its pivot offset, lift, shut height, inclination and bend (degrees)."""
    arm, lift = rng.uniform(1.2, 1.9) * unit, rng.uniform(0.35, 0.70) * unit
    shut_height = lift / 2 + rng.uniform(-0.6, 0.6) * unit
    tilt, origin = rng.uniform(-0.6, 0.6), np.array([rng.uniform(-5, 5), rng.uniform(-5, 5)]) * unit
    radius, offset = rng.uniform(0.2, 0.4) * unit, rng.uniform(1.0, 1.5) * unit
    bend, lean, inclination = rng.uniform(-12, 12), rng.uniform(-10, 10), rng.uniform(-12, 12)
    pivot = origin + turned((-offset, radius - shut_height), tilt)
    arms = arm, radius, rng.uniform(0.8, 1.2) * unit, np.pi + radians(bend)
    engine = PlanarEngine(tuple(origin), tilt, tuple(pivot), *arms, radians(lean))
    down = turned((-sin(radians(inclination)), -cos(radians(inclination))), tilt)
    foot = engine.cup(engine.touching()) + rng.uniform(7, 11) * unit * down
    return replace(engine, foot=tuple(foot)), offset, lift, shut_height, inclination, bend
