"""The rocker's tip circle against rigid bodies solved numerically."""

import random

import planar_model
import pytest
from thorough import sample

from buildcheck.formulas import rocker

WITHIN = 1e-6  # of an inch


def drawings(block):
    """75 random engines, the tool's inputs beside each, and how near the two must come."""
    for seed in range(1000 + block * 75, 1075 + block * 75):
        rng = random.Random(seed)
        unit = rng.choice([0.0254, 0.025, 1.0])
        engine, offset, lift, shut_height, *_ = planar_model.drawn(rng, unit)
        yield engine, offset, lift, shut_height, WITHIN * unit


@pytest.mark.parametrize("block", sample(range(4), 1))
def test_contacts_and_height_error_agree_with_rigid_bodies(block):
    for engine, offset, lift, s0, within in drawings(block):
        arm, q = engine.valve_arm, s0 - lift / 2
        shut, opened = engine.contact(0.0), engine.contact(lift)
        assert rocker.contact_position(arm, s0, offset) == pytest.approx(shut, abs=within)
        assert rocker.contact_position(arm, s0 - lift, offset) == pytest.approx(opened, abs=within)
        assert rocker.contacts_and_slope(arm, lift, q)[0] == pytest.approx(shut - opened, abs=within)
        assert rocker.height_error_from_contacts(arm, lift, shut, opened) == pytest.approx(q, abs=within)


@pytest.mark.parametrize("block", sample(range(4), 1))
def test_mark_agrees_with_rigid_bodies_forward_and_back(block):
    for engine, offset, lift, s0, within in drawings(block):
        arm, q = engine.valve_arm, s0 - lift / 2
        low, high = engine.mark(lift)
        assert rocker.sweep_width(arm, lift, s0) == pytest.approx(high - low, abs=within)
        assert rocker.width_at(arm, lift, -q) == pytest.approx(high - low, abs=within)
        assert rocker.width_and_slope(arm, lift, q)[0] == pytest.approx(high - low, abs=within)
        assert rocker.centre_at(arm, lift, q, offset) == pytest.approx((low + high) / 2, abs=within)
        assert rocker.pivot_offset_from_centre(arm, lift, q, (low + high) / 2) == pytest.approx(offset, abs=within)
        back = rocker.height_error_from_width(arm, lift, high - low)
        assert back == pytest.approx(abs(q), abs=20 * within)


def test_draws_reach_both_regimes_of_the_width():
    outside = sum(not 0 <= s0 <= lift for block in range(4) for _, _, lift, s0, _ in drawings(block))
    assert 100 < outside < 200


def test_width_inverts_exactly_over_the_whole_reach():
    arm, lift = 1.550, 0.560
    for i in range(200):
        q = i / 199 * (arm - lift / 2) * 0.999
        width = rocker.width_at(arm, lift, q)
        assert rocker.height_error_from_width(arm, lift, width) == pytest.approx(q, abs=1e-9)
        between = rocker.contacts_and_slope(arm, lift, -q)[0]
        assert rocker.height_error_from_contacts(arm, lift, between, 0.0) == pytest.approx(-q, abs=1e-9)


@pytest.mark.parametrize("q", [-0.5, -0.281, -0.1, 0.0, 0.02, 0.279, 0.6])
def test_slopes_are_those_of_the_curves(q):
    arm, lift, step = 1.550, 0.560, 1e-6
    rise = (rocker.width_at(arm, lift, q + step) - rocker.width_at(arm, lift, q)) / step
    assert rocker.width_and_slope(arm, lift, q)[1] == pytest.approx(rise, abs=1e-5)
    change = (rocker.contacts_and_slope(arm, lift, q + step)[0] - rocker.contacts_and_slope(arm, lift, q)[0]) / step
    assert rocker.contacts_and_slope(arm, lift, q)[1] == pytest.approx(change, abs=1e-5)


def test_a_quarter_of_a_thou_of_band_is_no_height():
    wide = rocker.height_error_from_width(1.550, 0.560, 0.02550 + 0.010)
    assert wide == pytest.approx(0.050, abs=0.002)


def test_lines_good_to_three_thou_give_the_height_to_twelve():
    slope = abs(rocker.contacts_and_slope(1.550, 0.560, 0.0)[1])
    assert 2**0.5 * 0.003 / slope == pytest.approx(0.012, abs=0.0005)


def test_edges_good_to_five_thou_leave_the_length_uncertain():
    spread = [2**0.5 * 0.005 / rocker.width_and_slope(1.550, 0.560, q)[1] * 1.625 for q in (0.0, 0.080)]
    assert spread == pytest.approx([0.063, 0.048], abs=0.001)


def test_impossible_readings_are_refused():
    with pytest.raises(ValueError, match="too short to reach"):
        rocker.contact_position(1.550, 1.600, 1.5)
    with pytest.raises(ValueError, match="does not lift"):
        rocker.sweep_width(1.550, 0.0, 0.1)
    with pytest.raises(ValueError, match="wider than this rocker"):
        rocker.height_error_from_width(1.550, 0.560, 1.500)
    with pytest.raises(ValueError, match="farther apart than this rocker"):
        rocker.height_error_from_contacts(1.550, 0.560, 0.0, 1.200)
