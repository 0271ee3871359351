"""Pad tips: raised pivots of a planar model, and the rule of thumb of the trade."""

import random
from math import cos, degrees, radians, sin

import planar_model
import pytest
from thorough import sample

from buildcheck.formulas import linkage, pad_tip, rocker
from buildcheck.record import replace


def pad_tip_engine(seed):
    """An upright engine whose pad is curved about a point well above the pivot, and its lift."""
    rng = random.Random(seed)
    engine, _, lift, s0, *_ = planar_model.drawn(rng, 1.0)
    higher = lift + rng.uniform(0.2, 0.5)
    return replace(engine, tip_radius=engine.tip_radius + higher - s0, lean=0.0), lift, higher


@pytest.mark.parametrize("seed", sample(range(12), 4))
def test_height_from_the_width_of_a_pad_mark(seed):
    engine, lift, higher = pad_tip_engine(seed)
    low, high = engine.mark(lift)
    assert pad_tip.pad_tip_height(engine.valve_arm, lift, high - low) == pytest.approx(higher, abs=1e-5)


def first_order(centre, lift, width, lean=0.0):
    """The raise along the stud: each unit of height moves the mark by width/lift across, the lean by its sine."""
    return -centre / (width / lift * cos(radians(lean)) + sin(radians(lean)))


@pytest.mark.parametrize("lean", [0.0, 0.15, -0.05])
@pytest.mark.parametrize("seed", sample(range(12), 4))
def test_the_rise_asked_brings_the_mark_to_where_it_is_wanted(seed, lean):
    engine, lift, _ = pad_tip_engine(seed)
    leaning = replace(engine, lean=lean)
    low, high = leaning.mark(lift)
    for off in (-0.020, 0.030):
        rise = pad_tip.pad_tip_rise_to_centre(engine.valve_arm, lift, high - low, off, degrees(lean))
        raised = leaning.raised(rise / cos(lean)).mark(lift)
        assert sum(raised) / 2 == pytest.approx((low + high) / 2 - off, abs=1e-6)


@pytest.mark.parametrize("lean", [0.0, 0.15, -0.05])
@pytest.mark.parametrize("seed", sample(range(12), 4))
def test_where_any_height_moves_the_mark_must_go_on_by_the_model(seed, lean):
    engine, lift, _ = pad_tip_engine(seed)
    leaning = replace(engine, lean=lean)
    low, high = leaning.mark(lift)
    there = pad_tip.pad_tip_centre(engine.valve_arm, lift, high - low, (low + high) / 2, degrees(lean), rise=0.05)
    assert there == pytest.approx(sum(leaning.raised(0.05 / cos(lean)).mark(lift)) / 2, abs=1e-6)


@pytest.mark.parametrize("lean", [0.0, 4.0, -2.0])
@pytest.mark.parametrize("seed", sample(range(12), 4))
def test_near_the_middle_the_first_order_form_shows_the_same(seed, lean):
    """Near the middle a raise moves the mark by about width/L of it; arms as steep as these need up to a quarter more.

    Derivation: the pad touches the tip above the centre of its curve, which lies x = sqrt(a^2 - s^2) from the pivot,
    a being the arm and s its height above the pivot: s0 with the valve closed, s0 - L at full lift. A raise lowers s,
    so dx/draise = s/x. Its mean over the lift is (x(s0 - L) - x(s0))/L = width/L.
    """
    engine, lift, _ = pad_tip_engine(seed)
    low, high = engine.mark(lift)
    for off in (-0.0005, 0.0005):
        found = pad_tip.pad_tip_rise_to_centre(engine.valve_arm, lift, high - low, off, lean)
        assert found == pytest.approx(first_order(off, lift, high - low, lean) * cos(radians(lean)), rel=0.25)


@pytest.mark.parametrize(
    ("width", "off", "rise", "about"), [(2.3, -0.9, 4.99, 3.59), (2.0, 0.9, -3.29, -4.13), (4.4, -0.9, 1.99, 1.88)]
)
def test_worked_by_hand(width, off, rise, about):
    """Arm 36 mm, lift 9.18 mm: first order is short where the pivot rises, and too much where it comes down."""
    assert pad_tip.pad_tip_rise_to_centre(36.0, 9.18, width, off) == pytest.approx(rise, abs=0.005)
    assert first_order(off, 9.18, width) == pytest.approx(about, abs=0.005)


def test_the_farthest_that_a_mark_can_be_moved_is_to_its_narrowest():
    """2.0 mm wide: s0 is 12.19 mm, and from there to half the lift of 9.18 mm the centre goes 0.98 mm."""
    assert pad_tip.pad_tip_height(36.0, 9.18, 2.0) == pytest.approx(12.19, abs=0.005)
    farthest = pad_tip.pad_tip_rise_to_farthest(36.0, 9.18, 2.0, -1.7)
    assert farthest == pytest.approx(12.19 - 9.18 / 2, abs=0.005)
    assert pad_tip.pad_tip_centre(36.0, 9.18, 2.0, -1.7, rise=farthest) == pytest.approx(-1.7 + 0.98, abs=0.005)
    assert pad_tip.pad_tip_rise_to_centre(36.0, 9.18, 2.0, -1.7) == farthest
    assert pad_tip.pad_tip_rise_to_centre(36.0, 9.18, 2.0, -0.97) < farthest


@pytest.mark.parametrize("seed", sample(range(12), 4))
def test_an_upright_stud_is_solved_in_closed_form_and_agrees_with_one_that_hardly_leans(seed):
    engine, lift, _ = pad_tip_engine(seed)
    low, high = engine.mark(lift)
    for off in (-0.030, -0.001, 0.020):
        mark = engine.valve_arm, lift, high - low, off
        rise = pad_tip.pad_tip_rise_to_centre(*mark)
        assert pad_tip.pad_tip_centre(*mark, rise=rise) == pytest.approx(0.0, abs=1e-14)
        assert pad_tip.pad_tip_rise_to_centre(*mark, lean=1e-12) == pytest.approx(rise, abs=1e-10)


def test_along_a_stud_that_leans_away_a_mark_turns_back_sooner():
    upright, leaning = (pad_tip.pad_tip_rise_to_farthest(36.0, 9.18, 4.4, -1.0, lean) for lean in (0.0, -5.0))
    assert 0 < leaning < upright


def test_towards_the_pivot_too_short_towards_the_far_side_too_long():
    # common practice, no published source
    for centre, sign in ((-0.020, 1), (0.020, -1)):
        change = linkage.length_change_for_raise(pad_tip.pad_tip_rise_to_centre(1.5, 0.450, 0.180, centre), 1.5)
        assert change * sign == pytest.approx(0.05 * (1 + 1 / 1.5), rel=0.1)


def test_what_no_pad_tip_can_leave_is_refused():
    narrow = rocker.sweep_width(1.600, 0.450, 0.225)
    with pytest.raises(ValueError, match="too narrow"):
        pad_tip.pad_tip_height(1.600, 0.450, narrow)
    with pytest.raises(ValueError, match="does not move the mark"):
        pad_tip.pad_tip_rise_to_centre(1.500, 0.450, 0.050, 0.010, lean=-10)
