"""Sweep, pushrod length for each pivot height, and slider-crank against pylinkage, a general kinematics package."""

from __future__ import annotations

from math import atan2, cos, dist, hypot, radians, sin

import pytest
from pylinkage.solver import solve_fixed, solve_linear

from buildcheck.formulas.compression import piston_position
from buildcheck.formulas.linkage import Linkage, length_change_for_raise_exact
from buildcheck.formulas.rocker import contact_position, sweep_width

ARM, LIFT, RATIO, LENGTH = 1.550, 0.560, 1.6, 9.450
HEIGHTS = (0.10, 0.28, 0.41, 0.60)
Point = tuple[float, float]


def tip_centre(pivot: Point, height: float) -> Point:
    """Where the tip circle's centre lies on the level line at a height, by the package."""
    x, y = solve_linear(pivot[0] + ARM, height, *pivot, ARM, -10.0, height, 10.0, height)
    return float(x), float(y)


def cup(pivot: Point, tip: Point, linkage: Linkage) -> Point:
    """The pushrod's cup, fixed to the rocker opposite its tip, by the package."""
    opposite = (2 * pivot[0] - tip[0], 2 * pivot[1] - tip[1])
    x, y = solve_fixed(*pivot, *opposite, linkage.pushrod_arm(), 0.0)
    return float(x), float(y)


@pytest.mark.parametrize("closed", HEIGHTS)
def test_the_sweep_is_that_of_the_package(closed: float) -> None:
    across = [tip_centre((0.0, 0.0), closed - LIFT * step / 5600)[0] for step in range(5601)]
    assert max(across) - min(across) == pytest.approx(sweep_width(ARM, LIFT, closed), abs=1e-8)
    assert across[0] == pytest.approx(contact_position(ARM, closed, 0.0), abs=1e-9)
    assert across[-1] == pytest.approx(contact_position(ARM, closed - LIFT, 0.0), abs=1e-9)


@pytest.mark.parametrize("closed", HEIGHTS)
@pytest.mark.parametrize("raised", [-0.080, 0.020, 0.050])
def test_the_length_for_each_height_is_that_of_the_package(closed: float, raised: float) -> None:
    linkage = Linkage(ARM, closed, RATIO, LENGTH)
    before = cup((0.0, 0.0), tip_centre((0.0, 0.0), closed), linkage)
    foot = (before[0], before[1] - LENGTH)
    pivot = (0.0, raised)
    after = cup(pivot, tip_centre(pivot, closed), linkage)
    assert dist(foot, after) - LENGTH == pytest.approx(length_change_for_raise_exact(raised, linkage), abs=1e-9)


def test_the_package_keeps_the_arm_rigid() -> None:
    tip = tip_centre((0.0, 0.0), 0.28)
    assert hypot(*tip) == pytest.approx(ARM)
    assert atan2(tip[1], tip[0]) > 0


@pytest.mark.parametrize("crank", [0, 30, 60, 90, 120, 180, 250, 340])
def test_the_slider_crank_is_that_of_the_package(crank: int) -> None:
    throw, rod = 50.0, 200.0
    journal = (throw * sin(radians(crank)), throw * cos(radians(crank)))
    _, height = solve_linear(0.0, throw + rod, *journal, rod, 0.0, -1000.0, 0.0, 1000.0)
    assert throw + rod - height == pytest.approx(piston_position(2 * throw, rod, crank), abs=1e-9)
