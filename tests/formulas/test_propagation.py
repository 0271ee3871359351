"""First-order propagation against the GUM's end gauge and an independent library."""

from __future__ import annotations

from math import sqrt

import pytest
from uncertainties import ufloat, umath

from buildcheck.core.value import Value, derive
from buildcheck.formulas.propagation import combined


def uncertain(formula, values, us):
    """The combined standard uncertainty that the product's own propagation gives to independent values."""
    inputs = [Value(x, "ratio", {str(i): u} if u else {}) for i, (x, u) in enumerate(zip(values, us, strict=True))]
    return derive("ratio", formula, *inputs).expanded / 2


def end_gauge(standard, difference, expansion, warmth, expansion_difference, temperature_difference):
    steps = expansion_difference * warmth + expansion * temperature_difference
    return standard + difference - standard * steps


def test_end_gauge_of_the_gum():
    """JCGM 100:2008 (GUM), H.1: l 50.000838 mm, u 31.71 nm (printed 32), U99 93 nm with k99 2.92."""
    values = [50.000623e-3, 215e-9, 11.5e-6, -0.1, 0.0, 0.0]
    us = [25e-9, 9.7e-9, 1.2e-6, 0.41, 0.58e-6, 0.029]
    u = uncertain(end_gauge, values, us)
    assert end_gauge(*values) == pytest.approx(50.000838e-3, abs=0.5e-9)
    assert u == pytest.approx(31.71e-9, abs=0.005e-9)
    assert round(2.92 * u * 1e9) == 93


def test_agrees_with_an_independent_library():
    def arm_drop(arm, lift):
        return arm - (arm**2 - lift**2 / 4) ** 0.5

    arm, lift = ufloat(39.37, 0.05), ufloat(14.22, 0.02)
    theirs = arm - umath.sqrt(arm**2 - lift**2 / 4)
    assert uncertain(arm_drop, [39.37, 14.22], [0.05, 0.02]) == pytest.approx(theirs.s, rel=1e-5)


def test_a_sum_of_two_edges_and_their_difference():
    """Independent edge readings: u(centre) = u/sqrt 2, u(width) = sqrt 2 u."""
    edges, us = [3.0, 4.4], [0.04, 0.04]
    centre = uncertain(lambda first, last: (first + last) / 2, edges, us)
    width = uncertain(lambda first, last: last - first, edges, us)
    assert (centre, width) == (pytest.approx(0.04 / sqrt(2)), pytest.approx(0.04 * sqrt(2)))


def test_an_exact_value_is_not_tried_beyond_itself():
    assert uncertain(lambda x, y: x / y + sqrt(y - 2), [1.0, 2.0], [0.1, 0.0]) == pytest.approx(0.05)


def test_nothing_uncertain_combines_to_zero():
    assert combined([]) == 0.0
