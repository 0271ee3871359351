"""Measured motion against pylinkage, a general kinematics package, and against lobes in closed form.

The package places crank, connecting rod, pushrod and rocker from their lengths; readings of what moves there go
through motion.yaml and must come out as the ratio, the lift and the gap that the package has.
"""

from __future__ import annotations

import sys
from cmath import phase, rect
from math import cos, dist, pi, radians
from pathlib import Path

import pytest
from pylinkage.solver import solve_crank, solve_fixed, solve_linear, solve_revolute

sys.path.insert(0, str(Path(__file__).parent.parent))

from rewritten import rewritten

from buildcheck.build.facts import Facts
from buildcheck.core.subject import Subject
from buildcheck.formulas.compression import piston_position
from buildcheck.formulas.lift_curve import flank_angle, interpolation_uncertainty, lift_at
from buildcheck.formulas.piston_motion import along_valve, changed_lift

STROKE, ROD = 3.765, 6.310
ARM, CUP_ARM, PUSHROD, LOBE, NOSE, DURATION = 1.550, 0.969, 9.450, 0.280, 107.0, 264.0
FIRST = Subject(1, "intake")
ANGLES = (-30, -25, -20, -15, -10, -5, 0, 5, 10, 15, 20, 25, 30, 40, 50, 60, *range(70, 150, 5))


def piston(crank: float) -> float:
    """How far the piston is below TDC, by the package: a crank, and a joint that slides in the bore."""
    pin = solve_crank(0.0, STROKE / 2, 0.0, 0.0, STROKE / 2, -radians(crank), 1.0)
    _, height = solve_linear(0.0, ROD, *pin, ROD, 0.0, -20.0, 0.0, 20.0)
    return STROKE / 2 + ROD - float(height)


@pytest.mark.parametrize("crank", [-120, -47, -12.5, 0, 3, 20, 90, 179])
def test_the_piston_is_where_the_package_has_it(crank: float) -> None:
    assert piston_position(STROKE, ROD, crank) == pytest.approx(piston(crank), abs=1e-12)


def lobe(crank: float) -> float:
    """Lift of a harmonic lobe, in."""
    share = (crank - NOSE) / (DURATION / 2)
    return LOBE * cos(pi * share / 2) ** 2 if abs(share) < 1 else 0.0


def valve(lifter: float, low: float = 0.224, cup_arm: float = CUP_ARM) -> float:
    """Valve lift by the package for a lifter that has risen: pushrod and rocker are rigid, the lifter moves upright.

    ``low``: how far the centre of the roller is above the pivot with the valve closed: half the valve lift.
    """
    tip = solve_linear(ARM, low, 0.0, 0.0, ARM, -10.0, low, 10.0, low)
    cup = solve_fixed(0.0, 0.0, *tip, cup_arm, pi)
    foot = (cup[0], cup[1] - PUSHROD + lifter)
    raised = solve_revolute(*cup, 0.0, 0.0, cup_arm, *foot, PUSHROD)
    turned = solve_fixed(0.0, 0.0, *raised, ARM, pi)
    assert dist(foot, raised) == pytest.approx(PUSHROD)
    return low - float(turned[1])


def entry(at: str, lifts: list[float], drops: dict[int, float]) -> str:
    lines = [
        f"      - {{crank: {angle + 360} deg, lift: {lift:.6f} in"
        + (f", drop: {drops[angle]:.6f} in" if angle in drops else "")
        + "}\n"
        for angle, lift in zip(ANGLES, lifts, strict=True)
    ]
    return f"  - cylinder: 1\n    valve: intake\n    at: {at}\n    readings:\n{''.join(lines)}"


def gap(crank: float) -> float:
    """Gap of a valve upright over a flat piston with a free travel of 0.170 in at TDC."""
    return 0.170 + piston(crank) - valve(lobe(crank))


@pytest.fixture(scope="module")
def facts(tmp_path_factory: pytest.TempPathFactory) -> Facts:
    six = "tests/builds/inline_six_closed"
    own = (Path(__file__).parents[2] / six / "motion.yaml").read_text(encoding="utf-8")
    lifters = [lobe(angle) for angle in ANGLES]
    valves = entry("valve", [valve(lifter) for lifter in lifters], {5: gap(5)}) + entry("lifter", lifters, {})
    text = f"wheel: {{uncertainty: 0.5 deg, tdc: piston stop}}\nvalves:\n{valves}"
    upright = ("heads.yaml", "angle: 12 deg +/- 0.5 deg", "angle: 0 deg")
    return rewritten(tmp_path_factory.mktemp("linkage"), six, ("motion.yaml", own, text), upright).facts


def test_the_measured_ratio_is_that_of_the_linkage(facts: Facts) -> None:
    found = facts.get("measured_ratio", FIRST)
    assert found.si == pytest.approx(valve(LOBE) / LOBE, abs=0.001)
    assert abs(found.si - ARM / CUP_ARM) < 0.02, "rigid arms, so near the quotient of their lengths"


def test_the_measured_lift_and_what_is_lost_are_those_of_the_linkage(facts: Facts) -> None:
    inch = 0.0254
    assert facts.get("measured_lift", FIRST).si / inch == pytest.approx(valve(LOBE), abs=0.0003)
    assert facts.get("lift_lost", FIRST).si / inch == pytest.approx(LOBE * 1.6 - valve(LOBE), abs=0.0003)
    assert facts.get("measured_centreline", FIRST).si == pytest.approx(NOSE, abs=0.2)


def test_the_least_gap_is_that_of_linkage_and_slider_crank(facts: Facts) -> None:
    grid = [step / 100 for step in range(-3000, 3000)]
    least, at = min((gap(crank), crank) for crank in grid)
    found = facts.get("piston_gap_least", FIRST)
    assert abs(found.si / 0.0254 - least) <= found.expanded / 0.0254 < 0.006
    assert abs(facts.get("piston_gap_at", FIRST).si - 360 - at) < 2


def cycloid(rise: float) -> float:
    return rise - rect(1, 2 * pi * rise).imag / (2 * pi)


@pytest.mark.parametrize(("rise", "height"), [(0.5, 0.5), (0.75, 0.75 + 1 / (2 * pi))])
def test_a_cycloidal_lobe_has_its_height_where_the_closed_form_has_it(rise: float, height: float) -> None:
    """At half of the rise a cycloid has half of its lift, at three quarters 3/4 + 1/(2 pi)."""
    angles = [float(angle) for angle in range(-125, 130, 5)]
    lifts = [0.012 * cycloid(1 - abs(angle) / 125) for angle in angles]
    opening, closing = (
        flank_angle(0.012 * height, angles[:26], lifts[:26]),
        flank_angle(0.012 * height, angles[25:], lifts[25:]),
    )
    assert opening == pytest.approx(-125 * (1 - rise), abs=0.05)
    assert closing == pytest.approx(125 * (1 - rise), abs=0.05)


@pytest.mark.parametrize("step", [5, 10])
def test_the_least_gap_over_a_harmonic_lobe_is_that_of_the_closed_form(step: int) -> None:
    """With a lobe of 360 deg and an endless connecting rod the gap is a constant less one cosine."""
    stroke, lift, room = 0.090, 0.011, 0.004
    angles = [float(angle) for angle in range(-60, 65, step)]
    lifts = [lift * (1 + cos(radians(angle - NOSE))) / 2 for angle in angles]
    turning = stroke / 2 + rect(lift / 2, radians(NOSE))
    least, where = room + stroke / 2 - lift / 2 - abs(turning), phase(turning) * 180 / pi
    gaps = {at: room + along_valve(piston_position(stroke, 1e4, at), 0.0) - lift_at(at, angles, lifts)
            for at in (part / 10 for part in range(-590, 600))}  # fmt: skip
    at = min(gaps, key=lambda angle: gaps[angle])
    assert abs(gaps[at] - least) <= interpolation_uncertainty(at, angles, lifts) < 1e-3
    assert at == pytest.approx(where, abs=step / 2)


@pytest.mark.parametrize("ratio", [1.5, 1.65, 1.7])
def test_another_ratio_changes_the_lift_as_in_the_linkage(ratio: float) -> None:
    """Around the overlap, where the gap is least; with the cup nearer to the pivot."""
    for crank in range(-20, 25, 5):
        expected = valve(lobe(crank), cup_arm=ARM / ratio)
        assert changed_lift(valve(lobe(crank)), 0.0, ratio * CUP_ARM / ARM, 0.0) == pytest.approx(expected, abs=1e-5)
