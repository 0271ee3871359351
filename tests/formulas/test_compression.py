"""Displacement, compression and the slider-crank against printed examples."""

from __future__ import annotations

from math import cos, radians, sin

import pytest
from scipy.optimize import brentq

from buildcheck.formulas import compression as c

CU_IN = 16.387064  # cm³, NIST SP 811, App. B


def air_standard_efficiency(ratio):
    return 1 - ratio ** (1 - 1.4)


def test_displacement_of_a_radial_engine():
    """FAA-H-8083-32, ch. 1, 'Piston Displacement': 5.5 × 5.5 in × 14 → 1829.389 cu in (printed 1830)."""
    assert c.displacement(5.5, 5.5, 14) == pytest.approx(1829.389, abs=0.001)


def test_ratio_counts_the_total_over_the_clearance():
    """FAA-H-8083-32, ch. 1: 140 over 20 cu in total → 7:1; DOE-HDBK-1018/1-93, ME-01, p. 18."""
    assert c.compression_ratio(140 - 20, 20) == 7


@pytest.mark.parametrize(
    ("bore", "stroke", "clearance", "ratio", "efficiency"),
    [(20, 25, 1570, 6.0025, 0.5117), (17, 30, 1025, 7.643, 0.557)],
)
def test_ratio_of_printed_examples(bore, stroke, clearance, ratio, efficiency):
    """Gupta, Fundamentals of IC Engines (PHI 2006), Ex 2.1; Mathur and Sharma, IC Engine, Ex 2.3."""
    found = c.compression_ratio(c.swept_volume(bore, stroke), clearance)
    assert found == pytest.approx(ratio, rel=1e-4)
    assert air_standard_efficiency(found) == pytest.approx(efficiency, abs=0.0005)


def test_worked_six_of_219_cubic_inches():
    """By hand: swept 36.5201, room 3.7835 + 0.4139 + 0.1447 + 0.3661 = 4.7082 cu in; 1 + 36.5201/4.7082 = 8.757."""
    chamber, dish = 62 / CU_IN, 6 / CU_IN
    clearance = c.clearance_volume(chamber, 3.585, 0.041, 3.505, 0.015, dish)
    assert c.compression_ratio(c.swept_volume(3.505, 3.785), clearance) == pytest.approx(8.757, abs=0.0005)
    assert c.displacement(3.505, 3.785, 6) == pytest.approx(219.1, abs=0.05)
    assert c.quench(0.015, 0.041) == pytest.approx(0.056)


def test_worked_six_in_cubic_metres():
    inch, cc = 0.0254, 1e-6
    bore, stroke = 3.505 * inch, 3.785 * inch
    clearance = c.clearance_volume(62 * cc, 3.585 * inch, 0.041 * inch, bore, 0.015 * inch, 6 * cc)
    assert c.compression_ratio(c.swept_volume(bore, stroke), clearance) == pytest.approx(8.757, abs=0.0005)
    assert c.piston_position(stroke, 0.145, 180) == pytest.approx(stroke)


def test_dish_and_deck_lower_the_ratio_dome_and_popped_up_piston_raise_it():
    room = [c.clearance_volume(4.0, 3.59, 0.04, 3.51, deck, piston) for deck, piston in
            [(0.0, 0.0), (0.01, 0.0), (-0.01, 0.0), (0.0, 0.5), (0.0, -0.5)]]  # fmt: skip
    assert room[2] < room[0] < room[1]
    assert room[3] - room[0] == pytest.approx(0.5) == pytest.approx(room[0] - room[4])


@pytest.mark.parametrize(("crank", "below"), [(0, 0), (30, 8.267381), (90, 56.350833), (120, 79.743758), (180, 100)])
def test_piston_position(crank, below):
    """Closed form; also sympy circle and line, scipy brentq: stroke 100, rod 200."""
    assert c.piston_position(100, 200, crank) == pytest.approx(below, abs=5e-7)
    assert c.piston_position(100, 200, -crank) == pytest.approx(below, abs=5e-7)


def test_piston_velocity_of_a_worked_example():
    """Piston velocity: connecting rod 7, crank 5, 200 rev/min, 60 deg: -7914.8 length units a minute.

    From a secondary source: arithmetic, checked against a worked forum example, which prints a rounded -7917.
    """
    step = 1e-4
    for_each_degree = (c.piston_position(10, 7, 60 + step) - c.piston_position(10, 7, 60 - step)) / (2 * step)
    assert -for_each_degree * 360 * 200 == pytest.approx(-7914.8, abs=0.05)


@pytest.mark.parametrize("crank", range(5, 360, 25))
def test_piston_position_keeps_the_pushrod_as_long_as_it_is(crank):
    pin_x, pin_y = 50 * sin(radians(crank)), 50 * cos(radians(crank))
    height = brentq(lambda y: pin_x**2 + (y - pin_y) ** 2 - 170**2, pin_y, pin_y + 200)
    assert c.piston_position(100, 170, crank) == pytest.approx(50 + 170 - height, abs=1e-6)


def test_dynamic_ratio_is_the_static_one_from_bdc_and_falls_as_the_intake_shuts_later():
    ratios = [c.dynamic_compression_ratio(680, 78, 99, 152, late) for late in (0, 30, 63, 90)]
    assert ratios[0] == pytest.approx(c.compression_ratio(680, 78))
    assert ratios == sorted(ratios, reverse=True)
    assert ratios[3] == pytest.approx(1 + 680 / 78 * c.piston_position(99, 152, 90) / 99)


@pytest.mark.parametrize(
    ("impossible", "expected"),
    [
        (lambda: c.displacement(0, 1, 4), "bore"),
        (lambda: c.clearance_volume(3.0, 3.59, 0.04, 3.51, 0.0, -4.0), "no volume"),
        (lambda: c.compression_ratio(40.0, 0.0), "above zero"),
        (lambda: c.piston_position(100, 50, 90), "connecting rod"),
        (lambda: c.dynamic_compression_ratio(680, 78, 99, 152, 180), "intake"),
    ],
)
def test_impossible_engines_are_refused(impossible, expected):
    with pytest.raises(ValueError, match=expected):
        impossible()
