"""Ends, conventions and lengths of pushrods."""

import pytest
from shapely import LineString, Point

from buildcheck.formulas import pushrod_length as rods


@pytest.mark.parametrize("hole", [0.060, 0.080, 0.100, 0.120])
def test_cap_is_what_a_chord_cuts_off_a_circle(hole):
    circle = Point(0, 0).buffer(5 / 32, quad_segs=20000)
    chord = circle.intersection(LineString([(hole / 2, 0), (hole / 2, 1)]))
    assert rods.cap(5 / 32, hole) == pytest.approx(5 / 32 - chord.bounds[3], abs=1e-8)


def test_a_gauge_with_a_hole_under_the_oil_hole_reads_as_a_caliper():
    assert rods.ball_end_shortening(5 / 32, 0.080, 0.060) == rods.ball_end_shortening(5 / 32, 0.080)


def test_a_hole_has_its_ball():
    with pytest.raises(ValueError, match="narrower than the ball"):
        rods.cap(5 / 32, 0.400)


def test_turns_of_the_checker():
    assert rods.checker_length(9.100, 28, 1 / 28) == pytest.approx(10.100)
    assert rods.checker_length(9.100, 0, 1 / 28) == 9.100


def test_length_asked_adds_what_each_part_asks():
    assert rods.length_asked(9.400, 0.065, 0.012, 0.040) == pytest.approx(9.517)
    assert rods.length_asked(9.400, lash=0.016, ratio=1.6) == pytest.approx(9.390)
    with pytest.raises(ValueError, match="above zero"):
        rods.length_asked(9.400, lash=0.016, ratio=0)


def test_more_preload_is_a_longer_pushrod():
    # ASE A8 Engine Performance preparation text, ch. A, p. 18, 'Selective Length Pushrods'
    assert rods.length_asked(9.400, preload=0.060) > rods.length_asked(9.400, preload=0.0)


def test_a_screw_standing_out_while_measuring_asks_a_longer_pushrod():
    shortest, longest = rods.adjuster_interval(9.400, 0.060, 0.020)
    assert (shortest + longest) / 2 == pytest.approx(9.420)
    assert longest - shortest == pytest.approx(0.120)
    with pytest.raises(ValueError, match="not below zero"):
        rods.adjuster_interval(9.400, -0.060)
