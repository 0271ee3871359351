"""Plain tips: raised pivots of a planar model, and the trade's rule of thumb."""

import random
from dataclasses import replace

import planar_model
import pytest

from buildcheck.formulas import linkage, rocker, shoe


def shoe_engine(seed):
    """An upright engine whose shoe is curved about a point well above the pivot, and its lift."""
    rng = random.Random(seed)
    engine, _, lift, s0, *_ = planar_model.drawn(rng, 1.0)
    higher = lift + rng.uniform(0.2, 0.5)
    return replace(engine, tip_radius=engine.tip_radius + higher - s0, lean=0.0), lift, higher


@pytest.mark.parametrize("seed", range(12))
def test_height_from_the_width_of_a_shoe_mark(seed):
    engine, lift, higher = shoe_engine(seed)
    low, high = engine.mark(lift)
    assert shoe.shoe_height(engine.valve_arm, lift, high - low) == pytest.approx(higher, abs=1e-5)


@pytest.mark.parametrize("seed", range(12))
def test_the_raise_asked_centres_the_mark_to_first_order(seed):
    engine, lift, _ = shoe_engine(seed)
    low, high = engine.mark(lift)
    wanted = (low + high) / 2 + 0.004
    raised = engine.raised(shoe.shoe_raise_to_centre(-0.004, lift, high - low))
    assert sum(raised.mark(lift)) / 2 == pytest.approx(wanted, abs=0.001)


def test_a_leaning_stud_helps_the_mark_across():
    engine, lift, _ = shoe_engine(7)
    leaning = replace(engine, lean=0.15)
    low, high = leaning.mark(lift)
    raised = leaning.raised(shoe.shoe_raise_to_centre(-0.004, lift, high - low, lean=0.15 * 57.29578))
    assert sum(raised.mark(lift)) / 2 == pytest.approx((low + high) / 2 + 0.004, abs=0.0005)


def test_towards_the_pivot_too_short_towards_the_far_side_too_long():
    # common practice, no published source
    for centre, sign in ((-0.020, 1), (0.020, -1)):
        change = linkage.length_change_for_raise(shoe.shoe_raise_to_centre(centre, 0.450, 0.180), 1.5)
        assert change * sign == pytest.approx(0.05 * (1 + 1 / 1.5))


def test_what_no_shoe_can_leave_is_refused():
    narrow = rocker.sweep_width(1.600, 0.450, 0.225)
    with pytest.raises(ValueError, match="too narrow"):
        shoe.shoe_height(1.600, 0.450, narrow)
    with pytest.raises(ValueError, match="does not move the mark"):
        shoe.shoe_raise_to_centre(0.010, 0.450, 0.050, lean=-10)


@pytest.mark.parametrize(("lean", "rate"), [(0, 0.4), (30, 0.4 * 3**0.5 / 2 + 0.5), (-10, 0.4 * 0.984808 - 0.173648)])
def test_along_a_leaning_stud_a_raise_moves_the_mark_up_and_sideways(lean, rate):
    """Width 0.180 in on a lift of 0.450 in: 0.4 across for each unit up, and the lean's own share."""
    assert shoe.shoe_raise_to_centre(-0.020, 0.450, 0.180, lean) == pytest.approx(0.020 / rate, rel=1e-5)
