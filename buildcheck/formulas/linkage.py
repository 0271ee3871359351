"""Raising the rocker's pivot and the pushrod length that goes with it, at zero lash with the valve shut."""

from __future__ import annotations

from collections.abc import Callable
from math import asin, cos, hypot, radians, sin, sqrt

from buildcheck.record import Record


def length_per_height(ratio: float, lean: float = 0.0, inclination: float = 0.0) -> float:
    """How much pushrod goes with each unit by which the pivot gains height over the shut valve's tip.

    Args: ratio: of the rocker at the shut valve (1); lean: of the stud towards the valve (degrees);
    inclination: of the pushrod's top towards the valve (degrees).
    Returns: the factor (1), 1 + 1/R for an upright stud and a parallel rod. First order. ValueError for a
    ratio not above zero. Source: cos(lean - inclination)/cos(lean) + 1/R, the rocker turning about the
    valve's tip.

    >>> length_per_height(1.6)
    1.625
    """
    if ratio <= 0:
        raise ValueError("a rocker's ratio is above zero")
    return cos(radians(lean - inclination)) / cos(radians(lean)) + 1 / ratio


def length_change_for_raise(raise_by: float, ratio: float, lean: float = 0.0, inclination: float = 0.0) -> float:
    """The pushrod length that goes with raising the pivot along its stud, to first order.

    Args: raise_by: along the stud (m); ratio, lean, inclination: as for length_per_height.
    Returns: the change of the zero-lash length (m). Source: length_per_height.

    >>> round(length_change_for_raise(0.050, 1.6), 6)
    0.08125
    """
    return raise_by * cos(radians(lean)) * length_per_height(ratio, lean, inclination)


def preload_per_turn(pitch: float, ratio: float, lean: float = 0.0, inclination: float = 0.0) -> float:
    """Distance that the plunger of the lifter moves down for one turn of nut or bolt past zero lash.

    Args: pitch: of the thread of nut or bolt (m a turn); ratio, lean, inclination: as for length_per_height.
    Returns: plunger travel (m a turn). Source: p*[cos(lean - inclination) + cos(lean)/R], the rocker turning
    about the valve tip; p*(1 + 1/R) upright. A screw in the rocker's pushrod end takes p.

    >>> round(preload_per_turn(1 / 24, 1.5), 4), round(preload_per_turn(1 / 20, 1.7), 4)
    (0.0694, 0.0794)
    >>> round(preload_per_turn(1.25, 1.7), 3)
    1.985
    """
    return length_change_for_raise(pitch, ratio, lean, inclination)


class Linkage(Record):
    """One valve's rocker and pushrod with the valve shut at zero lash; lengths in m, angles in degrees.

    valve_arm: pivot to the tip circle's centre; shut_height: of that centre over the pivot; ratio: at the
    shut valve; rod_length: cup centre to cup centre; lean, inclination: as for length_per_height; bend: by
    which the pushrod's arm drops from the valve arm's straight continuation.
    """

    valve_arm: float
    shut_height: float
    ratio: float
    rod_length: float
    lean: float = 0.0
    inclination: float = 0.0
    bend: float = 0.0

    def pushrod_arm(self) -> float:
        """The distance from the pivot to the pushrod's cup that gives the ratio at the shut valve (m)."""
        lever = sqrt(self.valve_arm**2 - self.shut_height**2) / self.ratio
        slant = cos(self._turned(self.shut_height) + radians(self.inclination))
        if slant <= 0:
            raise ValueError("the pushrod points along its rocker arm: that ratio is impossible")
        return lever / slant

    def _turned(self, height: float) -> float:
        """How far the pushrod's arm points below the horizontal with the tip circle at this height (rad)."""
        if abs(height) > self.valve_arm:
            raise ValueError("the rocker's tip cannot reach the valve tip from there")
        return asin(height / self.valve_arm) + radians(self.bend)


def length_change_for_raise_exact(raise_by: float, linkage: Linkage) -> float:
    """The pushrod length that goes with raising the pivot along its stud, exact in the rocker's plane.

    Args: raise_by: along the stud (m); linkage: where everything stood before.
    Returns: the change of the zero-lash length (m). ValueError where the rocker's tip no longer reaches the
    valve.
    Source: rigid rocker turned until its tip circle touches the unmoved valve tip, distance between both
    cups.

    >>> round(length_change_for_raise_exact(0.050, Linkage(1.550, 0.280, 1.6, 9.450)), 5)
    0.08125
    """
    arm = linkage.pushrod_arm()
    lean, inclination = radians(linkage.lean), radians(linkage.inclination)
    before = linkage._turned(linkage.shut_height)
    after = linkage._turned(linkage.shut_height - raise_by * cos(lean))
    across = raise_by * sin(lean) - arm * (cos(after) - cos(before))
    up = raise_by * cos(lean) - arm * (sin(after) - sin(before))
    length = linkage.rod_length
    return hypot(length * sin(inclination) + across, length * cos(inclination) + up) - length


def raise_for_length_change(change: float, linkage: Linkage) -> float:
    """How far the pivot rises along its stud for a pushrod of another length, exact in the rocker's plane.

    Args: change: of the zero-lash length (m); linkage: where everything stood before.
    Returns: the raise along the stud (m), to about 1e-12 of the arm. ValueError where no raise within the
    rocker's reach takes it up. Source: length_change_for_raise_exact solved by bisection.

    >>> round(raise_for_length_change(0.08125, Linkage(1.550, 0.280, 1.6, 9.450)), 5)
    0.05
    """
    upright = cos(radians(linkage.lean))
    low = (linkage.shut_height - linkage.valve_arm) / upright
    high = (linkage.shut_height + linkage.valve_arm) / upright
    first = change / upright / length_per_height(linkage.ratio, linkage.lean, linkage.inclination)
    low, high = max(low, min(0.0, 2 * first)), min(high, max(0.0, 2 * first))
    near = linkage.valve_arm * 1e-13
    return _root(lambda t: length_change_for_raise_exact(t, linkage) - change, low, high, near)


def _root(function: Callable[[float], float], low: float, high: float, near: float) -> float:
    if function(low) > 0 or function(high) < 0:
        raise ValueError("no pivot height within reach of the rocker fits that pushrod")
    while high - low > near:
        middle = (low + high) / 2
        low, high = (middle, high) if function(middle) < 0 else (low, middle)
    return (low + high) / 2
