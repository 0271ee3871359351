"""Ends, conventions and lengths of push rods."""

import itertools
import random

import pytest
from shapely import LineString, Point

from buildcheck.formulas import rods

DRILLED = rods.End(5 / 32, 0.080)
ROD = (DRILLED, DRILLED)


@pytest.mark.parametrize("hole", [0.060, 0.080, 0.100, 0.140])
def test_cap_is_what_a_chord_cuts_off_a_circle(hole):
    circle = Point(0, 0).buffer(5 / 32, quad_segs=20000)
    chord = circle.intersection(LineString([(hole / 2, 0), (hole / 2, 1)]))
    assert rods.cap(5 / 32, hole) == pytest.approx(5 / 32 - chord.bounds[3], abs=1e-8)


def test_one_rod_is_three_hundredths_longer_by_the_convention_alone():
    gauge = rods.convert(9.450, ROD, "full ball", "gauge", wanted_hole=0.140)
    assert 9.450 - gauge == pytest.approx(2 * 0.01656, abs=1e-5)


def test_conversions_come_back_to_where_they_began():
    rng = random.Random(5)
    for given, wanted in itertools.product(("overall", "full ball", "gauge"), repeat=2):
        ends = (rods.End(5 / 32, rng.uniform(0, 0.1)), rods.End(0.150, rng.uniform(0, 0.1)))
        there = rods.convert(9.450, ends, given, wanted, 0.140, 0.120)
        assert rods.convert(there, ends, wanted, given, 0.120, 0.140) == pytest.approx(9.450, abs=1e-12)


def test_a_gauge_with_a_hole_under_the_oil_hole_reads_overall():
    assert rods.convert(9.450, ROD, "overall", "gauge", wanted_hole=0.060) == 9.450


def test_two_gauges_differ_by_their_holes():
    other = rods.convert(9.450, ROD, "gauge", "gauge", 0.140, 0.100)
    assert other - 9.450 == pytest.approx(2 * (0.01656 - 0.00822), abs=1e-5)


def test_a_cup_end_loses_nothing_to_a_hole():
    cupped = (DRILLED, rods.End(5 / 32, 0.080, cup=True))
    assert rods.convert(9.450, cupped, "overall", "full ball") == pytest.approx(9.450 + 0.00521, abs=1e-5)


def test_a_gauge_length_needs_its_hole_and_a_hole_its_ball():
    with pytest.raises(ValueError, match="state gauge_hole"):
        rods.convert(9.450, ROD, "overall", "gauge")
    with pytest.raises(ValueError, match="narrower than the ball"):
        rods.cap(5 / 32, 0.400)


def test_a_checker_with_solid_balls_reads_longer_than_the_drilled_rod():
    solid = rods.End(5 / 32)
    assert rods.change_ends(9.450, (solid, solid), ROD) == pytest.approx(9.450 - 2 * 0.00521, abs=2e-5)
    assert rods.change_ends(9.450, ROD, ROD) == 9.450
    with pytest.raises(ValueError, match="same kind and ball radius"):
        rods.change_ends(9.450, (solid, rods.End(0.150)), ROD)


def test_turns_of_the_checker():
    assert rods.checker_length(9.100, 28, 1 / 28) == pytest.approx(10.100)
    assert rods.checker_length(9.100, 0, 1 / 28) == 9.100


def test_length_asked_adds_what_each_part_asks():
    assert rods.length_asked(9.400, 0.065, 0.012, 0.040) == pytest.approx(9.517)
    assert rods.length_asked(9.400, lash=0.016, ratio=1.6) == pytest.approx(9.390)
    with pytest.raises(ValueError, match="above zero"):
        rods.length_asked(9.400, lash=0.016, ratio=0)


def test_more_preload_is_a_longer_rod():
    # ASE A8 Engine Performance preparation text, ch. A, p. 18, 'Selective Length Pushrods'
    assert rods.length_asked(9.400, preload=0.060) > rods.length_asked(9.400, preload=0.0)


def test_a_screw_standing_out_while_measuring_asks_a_longer_rod():
    shortest, longest = rods.adjuster_interval(9.400, 0.060, 0.020)
    assert (shortest + longest) / 2 == pytest.approx(9.420)
    assert longest - shortest == pytest.approx(0.120)
    with pytest.raises(ValueError, match="not below zero"):
        rods.adjuster_interval(9.400, -0.060)
