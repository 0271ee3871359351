"""Student's t, chi-square and F against scipy, over the degrees of freedom that a shop meets."""

from __future__ import annotations

import pytest
from scipy import special, stats

from buildcheck.formulas import distributions

FREEDOMS = (1, 2, 3, 4.5, 7, 15, 60, 400)


@pytest.mark.parametrize("freedom", FREEDOMS)
def test_t_agrees_with_scipy(freedom: float) -> None:
    for t in (-60.0, -4.0, -1.3, 0.0, 0.2, 2.0, 9.0):
        assert distributions.t_probability(t, freedom) == pytest.approx(stats.t.cdf(t, freedom), rel=1e-9, abs=1e-14)
    for share in (0.001, 0.05, 0.5, 0.975, 0.999):
        expected = pytest.approx(stats.t.ppf(share, freedom), rel=1e-8, abs=1e-9)
        assert distributions.t_quantile(share, freedom) == expected


@pytest.mark.parametrize(("freedom", "factor"), [(1, 12.706), (2, 4.303), (30, 2.042)])
def test_printed_t_factors(freedom: float, factor: float) -> None:
    """NIST/SEMATECH e-Handbook 1.3.6.7.2: t of 95 % between both tails."""
    assert distributions.t_quantile(0.975, freedom) == pytest.approx(factor, abs=5e-4)


@pytest.mark.parametrize("freedom", FREEDOMS)
def test_chi_square_agrees_with_scipy(freedom: float) -> None:
    for value in (0.0, 0.01, 1.0, 7.5, 40.0, 300.0):
        expected = pytest.approx(stats.chi2.cdf(value, freedom), rel=1e-9, abs=1e-14)
        assert distributions.chi_square_probability(value, freedom) == expected
    for share in (0.01, 0.5, 0.99):
        expected = pytest.approx(stats.chi2.ppf(share, freedom), rel=1e-8)
        assert distributions.chi_square_quantile(share, freedom) == expected


@pytest.mark.parametrize("above", FREEDOMS)
@pytest.mark.parametrize("below", FREEDOMS)
def test_f_agrees_with_scipy(above: float, below: float) -> None:
    for ratio in (0.0, 0.3, 1.0, 4.0, 30.0):
        expected = pytest.approx(stats.f.cdf(ratio, above, below), rel=1e-9, abs=1e-14)
        assert distributions.f_probability(ratio, above, below) == expected
    for share in (0.05, 0.5, 0.99):
        expected = pytest.approx(stats.f.ppf(share, above, below), rel=1e-7)
        assert distributions.f_quantile(share, above, below) == expected


def test_the_incomplete_beta_function_agrees_with_scipy() -> None:
    for a, b in ((0.5, 0.5), (2.0, 3.0), (40.0, 0.5), (0.5, 200.0)):
        for x in (0.0, 1e-6, 0.2, 0.7, 0.999, 1.0):
            expected = pytest.approx(special.betainc(a, b, x), rel=1e-10, abs=1e-300)
            assert distributions.incomplete_beta(a, b, x) == expected


@pytest.mark.parametrize(
    "call",
    [
        lambda: distributions.t_probability(1.0, 0),
        lambda: distributions.f_quantile(0.5, 3, 0),
        lambda: distributions.chi_square_probability(1.0, -1),
        lambda: distributions.t_quantile(1.5, 3),
    ],
)
def test_what_has_no_meaning_is_refused(call: object) -> None:
    with pytest.raises(ValueError, match=r"degree of freedom|between 0 and 1"):
        call()  # type: ignore[operator]
