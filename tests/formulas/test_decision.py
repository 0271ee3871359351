"""Guard-banded decisions against the published probabilities of being wrong."""

from __future__ import annotations

from math import inf, nan
from statistics import NormalDist

import pytest

from buildcheck.formulas.decision import decide, expanded_uncertainty, margin, resolution_uncertainty

NORMAL = NormalDist()


@pytest.mark.parametrize(
    ("value", "expected"),
    [(0.0649, "open"), (0.065, "pass"), (0.055, "open"), (0.0549, "fail"), (0.060, "open")],
)
def test_guard_band_on_both_sides_of_a_least_value(value, expected):
    assert decide(value, at_least=0.060, expanded=0.005) == expected


def test_between_two_limits_the_worse_side_decides():
    assert decide(0.040, at_least=0.020, at_most=0.060, expanded=0.010) == "pass"
    assert decide(0.055, at_least=0.020, at_most=0.060, expanded=0.010) == "open"
    assert decide(0.071, at_least=0.020, at_most=0.060, expanded=0.010) == "fail"
    assert decide(0.040, at_least=0.020, at_most=0.060, expanded=0.030) == "open"


def test_a_limit_met_exactly_passes_in_inches_and_millimetres():
    """The inch is 25.4 mm exactly (NIST SP 811, App. B), but not in floats."""
    pairs = [(thou / 1000 * 0.0254, round(thou * 0.0254, 4) / 1000) for thou in range(1, 1000)]
    assert sum(inch != millimetre for inch, millimetre in pairs) > 300
    for one, other in pairs:
        assert decide(one, at_least=other) == decide(one, at_most=other) == "pass"
        assert decide(other, at_least=one) == decide(other, at_most=one) == "pass"
    assert decide(0.0139701, at_most=0.01397) == decide(0.0139699, at_least=0.01397) == "fail"


def test_noise_grows_with_the_numbers_and_ends_where_instruments_begin():
    modulus = 30e6 * 4.4482216152605 / 0.0254**2
    assert decide(modulus * (1 - 1e-12), at_least=modulus) == "pass"
    assert decide(modulus * (1 - 1e-8), at_least=modulus) == "fail"
    assert decide(0.25 - 1e-9, at_least=0.25) == "fail"
    assert resolution_uncertainty(0.0) == 0.0


def test_a_guard_band_met_exactly_passes_whatever_the_last_bit():
    for thou in range(1, 2000):
        limit, guard = thou * 0.0000254, 0.002 * 0.0254
        assert decide((thou + 2) / 1000 * 0.0254, at_least=limit, expanded=guard) == "pass"
        assert decide((thou - 2) / 1000 * 0.0254, at_most=limit, expanded=guard) == "pass"


@pytest.mark.parametrize("bad", [nan, inf, -inf])
def test_what_is_not_a_number_never_passes(bad):
    assert decide(bad, at_least=1.0) == decide(bad, at_most=1.0) == "open"
    assert decide(1.0, at_most=bad) == "open"
    if bad != -inf:
        assert decide(2.0, at_least=1.0, expanded=bad) == "open"


def test_a_decision_without_limit_or_with_negative_uncertainty_is_refused():
    with pytest.raises(ValueError, match="needs a limit"):
        decide(1.0)
    with pytest.raises(ValueError, match="negative"):
        decide(1.0, at_least=0.0, expanded=-0.1)


@pytest.mark.parametrize(("guard_in_u", "false_accept"), [(1.0, 0.025), (0.83, 0.05), (1.5, 0.0016), (0.0, 0.5 + 1e-8)])
def test_risk_of_accepting_at_the_guarded_limit(guard_in_u, false_accept):
    """ILAC-G8:09/2019, Table 1: false accept under 2.5, 5, 0.16 and 50 %."""
    u = 0.001
    low, high = 0.9, 1.1
    for _ in range(60):
        value = (low + high) / 2
        accepted = decide(value, at_most=1.0, expanded=guard_in_u * 2 * u) == "pass"
        low, high = (value, high) if accepted else (low, value)
    risk = 1 - NORMAL.cdf((1.0 - low) / u)
    assert 0.5 * false_accept < risk < false_accept * 1.00001


@pytest.mark.parametrize(
    ("value", "u", "at_least", "at_most", "probability", "expected"),
    [
        (-5.47, 0.05, None, -5.40, 0.92, "open"),
        (509.7, 8.6, 490.0, None, 0.99, "pass"),
        (13.6, 1.8, 12.5, 16.3, 0.66, "open"),
    ],
)
def test_passes_only_where_conformity_is_likely(value, u, at_least, at_most, probability, expected):
    """JCGM 106:2012, clause 7 examples, from memory."""
    above = 1.0 if at_most is None else NormalDist(value, u).cdf(at_most)
    below = 0.0 if at_least is None else NormalDist(value, u).cdf(at_least)
    assert above - below == pytest.approx(probability, abs=0.005)
    assert decide(value, at_least, at_most, 2 * u) == expected
    assert (probability >= NORMAL.cdf(2)) == (expected == "pass")


def test_margin_is_the_nearest_limit_signed():
    assert margin(0.035, 0.020, 0.060) == pytest.approx(0.015)
    assert margin(0.055, 0.020, 0.060) == pytest.approx(0.005)
    assert margin(0.010, at_least=0.020) == pytest.approx(-0.010)


def test_resolution_and_repeatability_combine():
    """A uniform reading of width r has the standard deviation r/sqrt 12 (JCGM 100:2008, 4.3.7)."""
    steps = [(k + 0.5) / 1000 - 0.5 for k in range(1000)]
    assert resolution_uncertainty(1.0) == pytest.approx((sum(s * s for s in steps) / 1000) ** 0.5, rel=1e-5)
    assert expanded_uncertainty([0.0003, 0.0004]) == pytest.approx(0.001)
    assert expanded_uncertainty([31.71e-9], coverage=2.92) == pytest.approx(93e-9, abs=0.5e-9)
