"""Ranges, steps and scatter of readings against scipy."""

from __future__ import annotations

import pytest
from scipy import stats
from scipy.integrate import quad

from buildcheck.formulas.spread import deviation_uncertainty, deviation_within_banks, expected_range, spread_range


def test_range() -> None:
    assert spread_range([9.40, 9.43, 9.42, 9.45]) == pytest.approx(0.05)
    with pytest.raises(ValueError, match="readings"):
        spread_range([])


@pytest.mark.parametrize("count", [2, 3, 6, 12])
def test_the_expected_range_is_twice_the_mean_of_the_largest(count: int) -> None:
    """Order statistics of normal values, integrated by scipy."""
    largest, _ = quad(lambda x: x * count * stats.norm.pdf(x) * stats.norm.cdf(x) ** (count - 1), -9, 9)
    assert expected_range(count) == pytest.approx(2 * largest, rel=1e-9)


def test_the_deviation_within_banks_leaves_out_their_step() -> None:
    deviation, freedom = deviation_within_banks([[1.0, 2.0, 3.0], [11.0, 12.0, 13.0]])
    assert (deviation, freedom) == (1.0, 4)
    assert deviation_within_banks([[1.0], [5.0]]) == (0.0, 0)
    with pytest.raises(ValueError, match="degree of freedom"):
        deviation_uncertainty(0.004, 0)
