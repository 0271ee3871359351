"""Outliers within and across banks against the published data set and drawn sets; ranges and steps against scipy."""

from __future__ import annotations

import random
from statistics import fmean, stdev

import pytest
from scipy import stats
from scipy.integrate import quad

from buildcheck.formulas.spread import (
    FALSE_ALARMS,
    deviation_uncertainty,
    deviation_within_banks,
    expected_range,
    outliers,
    spread_range,
)

HANDBOOK = [199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57]


def test_grubbs_agrees_on_the_outlier() -> None:
    """NIST/SEMATECH e-Handbook 1.3.5.17.1: G 2.4687, one-sided 5 % critical 2.032."""
    grubbs = (max(HANDBOOK) - fmean(HANDBOOK)) / stdev(HANDBOOK)
    assert grubbs == pytest.approx(2.4687, abs=0.0001)
    assert grubbs > 2.032
    assert outliers(HANDBOOK, [1.0] * 8).indices == (7,)


@pytest.mark.parametrize("count", [4, 6, 7])
def test_the_first_step_is_grubbs_test(count: int) -> None:
    """Two-sided critical G by scipy: (n-1)/sqrt(n) * sqrt(t^2/(n-2+t^2)), t at alpha/2n with n-2 degrees."""
    t = stats.t.ppf(1 - FALSE_ALARMS / (2 * count), count - 2)
    critical = (count - 1) / count**0.5 * (t * t / (count - 2 + t * t)) ** 0.5
    good = [(-1.0) ** i * (1 + i / 10) for i in range(count - 1)]

    def grubbs(last: float) -> float:
        values = [*good, last]
        return (last - fmean(values)) / stdev(values)

    found = [last for last in range(2, 200) if outliers([*good, float(last)], [1e-6] * count).indices]
    expected = [last for last in range(2, 200) if grubbs(last) > critical]
    assert found == expected
    assert 0 < len(found) < 198


def test_a_reading_within_its_uncertainty_is_no_outlier() -> None:
    readings = [9.4000, 9.4001, 9.4001, 9.4002, 9.4020]
    assert outliers(readings, [0.004] * 5).indices == ()
    assert outliers(readings, [0.004, 0.004, 0.004, 0.004, 0.001]).indices == (4,)


def test_chance_alone_is_no_outlier_however_fine_the_gauge() -> None:
    found = outliers([9.40, 9.42, 9.44, 9.46, 9.48], [0.001] * 5)
    assert (found.indices, found.judged, found.remark) == ((), True, "3 degrees of freedom")


def test_two_outliers_do_not_hide_each_other() -> None:
    readings = [9.400, 9.401, 9.402, 9.401, 9.400, 9.402, 9.450, 9.452]
    assert outliers(readings, [0.004] * 8).indices == (6, 7)


def test_fewer_than_four_readings_are_not_judged() -> None:
    found = outliers(HANDBOOK[-3:], [1.0] * 3)
    assert (found.indices, found.judged) == ((), False)
    assert found.remark == "3 readings: 4 are required to find an outlier"


def test_equal_readings_leave_the_uncertainty_or_the_resolution_to_decide() -> None:
    readings = [9.400 * 0.0254] * 5 + [9.450 * 0.0254]
    assert outliers(readings, [0.002 * 0.0254] * 6).indices == (5,)
    assert outliers(readings, [0.060 * 0.0254] * 6).indices == ()
    assert outliers(readings, [0.0] * 6).judged is False
    assert outliers(readings, [0.0] * 6, least=0.0001 * 0.0254).indices == (5,)
    assert outliers(readings, [0.0] * 6, least=0.050 * 0.0254).indices == ()


def test_equal_readings_of_two_notations_count_as_equal() -> None:
    inch, metric = 0.007 * 0.0254, 0.0001778
    assert inch != metric
    assert outliers([inch, metric, inch, metric, inch], [0.0] * 5).indices == ()


def test_a_bank_step_is_no_outlier_and_hides_none() -> None:
    banks = ["left"] * 4 + ["right"] * 4
    left, right = [9.400, 9.402, 9.401, 9.403], [9.450, 9.452, 9.451, 9.490]
    assert outliers(left + right, [0.004] * 8).indices == ()
    assert outliers(left + right, [0.004] * 8, banks).indices == (7,)
    assert outliers([*left, *right[:3], 9.453], [0.004] * 8, banks).indices == ()


def test_a_bank_of_two_readings_does_not_vouch_for_itself() -> None:
    readings, banks = [9.400, 9.402, 9.401, 9.403, 9.402, 9.400, 9.480, 9.481], ["left"] * 6 + ["right"] * 2
    assert outliers(readings, [0.004] * 8, banks).indices == (6, 7)


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


def found_in(count: int, error: float, draws: int, known: tuple[float, float] = (0.0, 0.0)) -> float:
    """Share of drawn sets (sd 0.003 in) in which the first reading, off by an error, or any good one is an outlier."""
    draw, found = random.Random(count), 0
    for _ in range(draws):
        readings = [draw.gauss(9.4, 0.003) for _ in range(count)]
        readings[0] += error
        indices = outliers(readings, [1e-6] * count, known=known).indices
        found += 0 in indices if error else bool(indices)
    return found / draws


@pytest.mark.parametrize("count", [4, 8, 12, 16])
def test_fewer_than_two_in_a_hundred_good_sets_have_an_outlier(count: int) -> None:
    """1,000 sets: 2 % and three standard deviations of the count."""
    assert found_in(count, 0.0, 1000) < 0.02 + 3 * (0.02 * 0.98 / 1000) ** 0.5


@pytest.mark.parametrize("count", [4, 8, 16])
def test_an_error_of_twenty_thousandths_is_found_once_the_shops_spread_is_known(count: int) -> None:
    assert found_in(count, 0.020, 300, known=(0.003, 20.0)) >= 0.95
