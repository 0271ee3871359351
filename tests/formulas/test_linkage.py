"""Pivot, rocker and pushrod against rigid bodies solved numerically, and against the first-order form."""

import random
from math import cos, degrees, radians

import planar_model
import pytest
from thorough import sample

from buildcheck.formulas import linkage as formulas

INCH = 0.0254
WITHIN = 1e-6  # of an inch


def drawings(block):
    """75 random engines: rigid bodies, the same as the tool knows it, and a raise."""
    for seed in range(block * 75, block * 75 + 75):
        rng = random.Random(seed)
        unit = rng.choice([INCH, 0.001 * 25, 1.0])
        engine, _, _, shut_height, inclination, bend = planar_model.drawn(rng, unit)
        lean, ratio, rod = degrees(engine.lean), engine.ratio(), engine.rod()
        known = formulas.Linkage(engine.valve_arm, shut_height, ratio, rod, lean, inclination, bend)
        yield engine, known, rng.uniform(-0.15, 0.15) * unit, WITHIN * unit


@pytest.mark.parametrize("block", sample(range(4), 1))
def test_raise_and_length_agree_with_rigid_bodies_both_ways(block):
    for engine, known, raised, within in drawings(block):
        change = engine.raised(raised).rod() - engine.rod()
        assert formulas.length_change_for_raise_exact(raised, known) == pytest.approx(change, abs=within)
        assert engine.raise_for(engine.rod() + change) == pytest.approx(raised, abs=within)
        assert formulas.raise_for_length_change(change, known) == pytest.approx(raised, abs=within)
        assert known.pushrod_arm() == pytest.approx(engine.pushrod_arm, abs=within)


@pytest.mark.parametrize("block", sample(range(4), 1))
def test_first_order_form_is_the_slope_of_rigid_bodies(block):
    for engine, known, raised, _ in drawings(block):
        step = abs(raised) / 1000
        slope = (engine.raised(step).rod() - engine.raised(-step).rod()) / (2 * step)
        first = formulas.length_change_for_raise(1.0, known.ratio, known.lean, known.inclination)
        assert first == pytest.approx(slope, abs=1e-6)


def test_worked_raise_differs_from_first_order_by_less_than_five_millionths():
    known = formulas.Linkage(1.550, 0.280, 1.6, 9.450)
    exact = formulas.length_change_for_raise_exact(0.050, known)
    assert 0 < exact - formulas.length_change_for_raise(0.050, 1.6) < 5e-6


def test_ordinary_inclination_shifts_the_factor_by_up_to_nine_per_cent():
    known = formulas.Linkage(1.550, 0.280, 1.6, 9.450, lean=10, inclination=-10)
    upright = formulas.length_per_height(1.6)
    tilted = formulas.length_change_for_raise_exact(1e-6, known) / 1e-6 / upright
    assert tilted < 0.97
    assert formulas.length_per_height(1.6, inclination=3) / upright == pytest.approx(1, abs=0.001)


def test_turns_of_the_adjuster():
    # ASME B1.1 (3/8-24, 7/16-20), ISO 261 (M8x1.25)
    assert formulas.preload_per_turn(INCH / 24, 1.5) == pytest.approx(0.0694 * INCH, abs=0.00005 * INCH)
    assert formulas.preload_per_turn(INCH / 20, 1.7) == pytest.approx(0.0794 * INCH, abs=0.00005 * INCH)
    assert formulas.preload_per_turn(0.00125, 1.7) == pytest.approx(0.001985, abs=5e-7)
    with_lean = formulas.preload_per_turn(0.00125, 1.7, lean=10.0, inclination=4.0)
    assert with_lean == pytest.approx(0.00125 * (cos(radians(6)) + cos(radians(10)) / 1.7))


def test_impossible_rockers_are_refused():
    known = formulas.Linkage(1.550, 0.280, 1.6, 9.450)
    with pytest.raises(ValueError, match="cannot reach the valve tip"):
        formulas.length_change_for_raise_exact(2.0, known)
    with pytest.raises(ValueError, match="fits that pushrod"):
        formulas.raise_for_length_change(5.0, known)
    with pytest.raises(ValueError, match="above zero"):
        formulas.length_per_height(0.0)
