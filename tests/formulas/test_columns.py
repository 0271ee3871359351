"""Columns against worked examples of the textbooks."""

from __future__ import annotations

from math import sqrt

import pytest

from buildcheck.formulas import buckling as columns


def test_slender_solid_column():
    """Wentzell, Machine Design (2007), Ex 3.5, p. 53: L/r 192, Cc 118.74, 2464.16 lb.

    Its yield strength, 42 ksi, is worked back from Cc.
    """
    rod = (0.625, 0.3125, 30.0)
    assert columns.slenderness(*rod) == pytest.approx(192)
    assert columns.slenderness_limit(30e6, 42e3) == pytest.approx(118.74, abs=0.005)
    assert columns.critical_load(*rod, 30e6, 42e3) == pytest.approx(2464.16, abs=0.01)


def test_tube_chosen_for_a_load():
    """Jindal, Machine Design (2010), Ex 7-6, p. 195: 1500 N, factor 2, 280 mm, di/do 0.8 → 8/6.4 mm."""

    def factor(outer):
        return columns.buckling_factor(columns.euler_load(outer, 0.1 * outer, 0.280, 207e9), 1500)

    sizes = [size / 2000 for size in range(10, 21)]
    assert min(size for size in sizes if factor(size) >= 2) == 0.008
    assert factor(0.0079) < 2


def test_worked_push_pushrod_falls_under_johnson_only_when_soft():
    rod = (5 / 16, 0.080, 9.450, 30e6)
    assert columns.euler_load(*rod) == pytest.approx(1464, abs=0.5)
    assert columns.critical_load(*rod, 36e3) == pytest.approx(1348, abs=0.5)
    assert columns.critical_load(*rod, 36e3) == columns.johnson_load(*rod, 36e3)


def test_the_two_curves_meet_at_half_the_yield_load():
    """At the slenderness limit both give Sy·A/2 and the same slope: Shigley's, 10th ed, §4-13."""
    diameter, wall, modulus, strength = 0.008, 0.001, 207e9, 350e6
    radius = sqrt(columns.second_moment(diameter, wall) / columns.section_area(diameter, wall))
    length = columns.slenderness_limit(modulus, strength) * radius
    half = strength * columns.section_area(diameter, wall) / 2
    assert columns.euler_load(diameter, wall, length, modulus) == pytest.approx(half)
    assert columns.johnson_load(diameter, wall, length, modulus, strength) == pytest.approx(half)
    loads = [columns.critical_load(diameter, wall, length * k / 100, modulus, strength) for k in range(1, 300)]
    assert loads == sorted(loads, reverse=True)
    assert loads[0] < 2 * half


def test_static_load_and_factor_at_the_push_pushrod():
    assert columns.pushrod_load(1290.0, 1.6) == pytest.approx(2064)
    assert columns.buckling_factor(3.0, 0.5) == 6.0


def test_a_solid_pushrod_is_the_thickest_tube():
    assert columns.second_moment(0.008, 0.004) == pytest.approx(3.141592653589793 * 0.008**4 / 64)
    assert columns.second_moment(0.008, 0.002) < columns.second_moment(0.008, 0.004)


@pytest.mark.parametrize(
    ("impossible", "expected"),
    [
        (lambda: columns.second_moment(0.008, 0.0), "wall"),
        (lambda: columns.second_moment(0.008, 0.0041), "wall"),
        (lambda: columns.euler_load(0.008, 0.001, 0.0, 207e9), "length"),
        (lambda: columns.slenderness_limit(207e9, 0.0), "yield"),
        (lambda: columns.buckling_factor(6000.0, 0.0), "load"),
    ],
)
def test_impossible_push_pushrods_are_refused(impossible, expected):
    with pytest.raises(ValueError, match=expected):
        impossible()
