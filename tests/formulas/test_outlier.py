"""Outliers within and across banks and valve types: the published data set, drawn sets, and the power against scipy."""

from __future__ import annotations

import random
from collections.abc import Sequence
from statistics import fmean, stdev

import pytest
from experiments.outlier_bound import ERROR, SCATTER, most_found
from scipy import stats
from thorough import number

from buildcheck.formulas.outlier import FALSE_ALARMS, Outliers, findable_error
from buildcheck.formulas.outlier import outliers as outliers_of_both
from buildcheck.formulas.repeatability import Sample

HANDBOOK = [199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57]


def outliers(
    values: Sequence[float], expanded: Sequence[float], banks: Sequence[str] | None = None, least: float = 0.0
) -> Outliers:
    """Outliers among readings of one valve type."""
    return outliers_of_both(values, expanded, ["intake"] * len(values), banks, least)


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
    assert (found.indices, found.judged, found.scatter["intake"][1]) == ((), True, 3)


def test_two_outliers_do_not_hide_each_other() -> None:
    readings = [9.400, 9.401, 9.402, 9.401, 9.400, 9.402, 9.450, 9.452]
    assert outliers(readings, [0.004] * 8).indices == (6, 7)


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


def test_the_scatter_of_the_other_type_counts_unless_it_is_clearly_smaller() -> None:
    """Three good readings leave 2 degrees of freedom; four of the other type add 3."""
    readings, other = [9.400, 9.404, 9.396, 9.426], [9.500, 9.503, 9.498, 9.501]
    types = ["intake"] * 4 + ["exhaust"] * 4
    assert outliers(readings, [1e-6] * 4).indices == ()
    both = outliers_of_both([*readings, *other], [1e-6] * 8, types)
    assert (both.indices, both.scatter["intake"][1]) == ((3,), 4)
    fine = [9.5 + (one - 9.5) / 1000 for one in other]
    alone = outliers_of_both([*readings, *fine], [1e-6] * 8, types)
    assert (alone.indices, alone.scatter["intake"][1]) == ((), 2)


def test_fewer_than_four_readings_of_a_type_are_not_judged_beside_the_other() -> None:
    readings = [9.400, 9.401, 9.480, *HANDBOOK]
    assert outliers_of_both(readings, [1e-6] * 11, ["intake"] * 3 + ["exhaust"] * 8).indices == (10,)


@pytest.mark.parametrize(("freedom", "count"), [(2, 4), (5, 4), (13, 8), (29, 16)])
def test_the_error_that_is_found_has_a_power_of_95_percent_by_scipy(freedom: int, count: int) -> None:
    """Noncentral t: the chance that it exceeds the critical value if the mean is off by the stated error."""
    error = findable_error(0.003, freedom, count, 0.0)
    limit = stats.t.ppf(1 - FALSE_ALARMS / (2 * count), freedom)
    shift = error / (0.003 * (1 + 1 / (count - 1)) ** 0.5)
    assert stats.nct.sf(limit, freedom, shift) == pytest.approx(0.95, abs=1e-4)


def test_the_error_that_is_found_exceeds_the_uncertainty_by_its_own_noise() -> None:
    assert findable_error(0.001, 100, 5, 0.020) == pytest.approx((0.020 + 1.645 * 0.001) * 1.25**0.5)


NOTHING = (0.0, 0.0)
SHOP = (0.003, 20.0)


def found_in(count: int, error: float, draws: int, types: int = 2, known: Sample = NOTHING) -> float:
    """Share of drawn sets (sd 0.003 in) in which the first reading, off by an error, or any good one is an outlier."""
    draw, found = random.Random(count), 0
    for _ in range(draws):
        readings = [draw.gauss(9.4, 0.003) for _ in range(count * types)]
        readings[0] += error
        valves = ["intake"] * count + ["exhaust"] * count * (types - 1)
        indices = outliers_of_both(readings, [1e-6] * len(valves), valves, known=known).indices
        found += 0 in indices if error else any(index < count for index in indices)
    return found / draws


@pytest.mark.parametrize(("count", "types"), [(4, 1), (4, 2), (6, 2), (10, 1), (16, 1)])
def test_fewer_than_two_in_a_hundred_good_sets_of_a_type_have_an_outlier(count: int, types: int) -> None:
    """2 % and three standard deviations of the count. DEVELOPERS.md has the figures of 20,000 sets."""
    draws = number(200, 500)
    assert found_in(count, 0.0, draws, types) < 0.02 + 3 * (0.02 * 0.98 / draws) ** 0.5


@pytest.mark.parametrize(("count", "types", "known"), [(4, 1, SHOP), (8, 1, SHOP), (8, 2, NOTHING), (12, 2, NOTHING)])
def test_an_error_of_twenty_thousandths_is_found(count: int, types: int, known: Sample) -> None:
    """The fixed draws; the share over many is 95 % or more."""
    assert found_in(count, 0.020, number(60, 150), types, known) >= 0.95


def test_with_four_valves_and_no_shop_such_an_error_is_found_more_often_beside_the_other_type() -> None:
    alone, beside = (found_in(4, 0.020, 150, types) for types in (1, 2))
    assert alone < 0.25
    assert beside > alone + 0.25


def test_the_bound_of_two_readings_is_the_power_of_a_test_of_their_difference() -> None:
    """By scipy: two normal readings of known scatter, 2 % false alarms on both sides together."""
    shift = ERROR / (SCATTER * 2**0.5)
    power = stats.norm.sf(stats.norm.ppf(0.99) - shift)
    assert most_found(2, 1, 20_000, (SCATTER,)) == pytest.approx(power, abs=0.005)


@pytest.mark.parametrize(("count", "types"), [(4, 2), (5, 2), (4, 1), (8, 1)])
def test_no_search_finds_the_error_among_few_valves_of_unknown_scatter(count: int, types: int) -> None:
    """Neither ours nor any other finds 0.020 in 95 %; 0.01 is three standard deviations of the bound's own draws."""
    most = most_found(count, types, 10_000)
    assert found_in(count, ERROR, 300, types) <= most < 0.95 - 0.01
