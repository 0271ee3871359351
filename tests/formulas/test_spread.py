"""Outliers within and across banks against the published data set and seeded good sets."""

from __future__ import annotations

import random
from statistics import fmean, median, stdev

import pytest

from buildcheck.formulas.spread import mad, modified_z, outliers, spread_range

HANDBOOK = [199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57]


def test_modified_z_of_the_handbook():
    """NIST/SEMATECH e-Handbook 1.3.5.17 (Iglewicz and Hoaglin 1993): median 201.37, MAD 0.995, M 29.96."""
    assert median(HANDBOOK) == pytest.approx(201.37)
    assert mad(HANDBOOK) == pytest.approx(0.995)
    scores = modified_z(HANDBOOK)
    assert scores[-1] == pytest.approx(29.96, abs=0.005)
    assert max(abs(score) for score in scores[:-1]) < 3.5


def test_grubbs_agrees_on_the_outlier():
    """NIST/SEMATECH e-Handbook 1.3.5.17.1: G 2.4687, one-sided 5 % critical 2.032."""
    grubbs = (max(HANDBOOK) - fmean(HANDBOOK)) / stdev(HANDBOOK)
    assert grubbs == pytest.approx(2.4687, abs=0.0001)
    assert grubbs > 2.032
    assert outliers(HANDBOOK, [1.0] * 8).indices == (7,)


def test_a_high_score_within_the_uncertainty_is_no_outlier():
    readings = [9.4000, 9.4001, 9.4001, 9.4002, 9.4020]
    assert abs(modified_z(readings)[-1]) > 3.5
    assert outliers(readings, [0.004] * 5).indices == ()
    assert outliers(readings, [0.004, 0.004, 0.004, 0.004, 0.001]).indices == (4,)


def test_a_low_score_beyond_the_uncertainty_is_no_outlier():
    found = outliers([9.40, 9.42, 9.44, 9.46, 9.48], [0.001] * 5)
    assert (found.indices, found.judged, found.remark) == ((), True, "")


def test_the_score_flags_from_three_and_a_half_on():
    """Median 2, MAD 1: 5.20 from the median scores 3.507, 5.17 scores 3.487."""
    assert outliers([0.0, 1.0, 2.0, 3.0, 7.20], [0.1] * 5).indices == (4,)
    assert outliers([0.0, 1.0, 2.0, 3.0, 7.17], [0.1] * 5).indices == ()


@pytest.mark.parametrize(("expanded", "indices"), [(4.50, (4,)), (4.57, ())])
def test_the_median_of_five_adds_a_fifth_of_its_variance_to_the_distance(expanded, indices):
    """The variance of a median of n is π/2n of one reading's (textbook value): 5.20 / √(1 + π/10) = 4.536."""
    assert outliers([0.0, 1.0, 2.0, 3.0, 7.20], [expanded] * 5).indices == indices


def test_fewer_than_five_readings_are_not_judged():
    assert modified_z(HANDBOOK[-4:]) is None
    found = outliers(HANDBOOK[-4:], [1.0] * 4)
    assert (found.indices, found.judged) == ((), False)
    assert "4 readings" in found.remark


def test_equal_readings_leave_the_uncertainty_to_decide():
    readings = [9.400 * 0.0254] * 5 + [9.4002 * 0.0254, 9.450 * 0.0254]
    assert modified_z(readings) is None
    found = outliers(readings, [0.002 * 0.0254] * 7)
    assert (found.indices, found.judged) == ((6,), True)
    assert "only the uncertainty" in found.remark
    unstated = outliers(readings, [0.0] * 7)
    assert (unstated.indices, unstated.judged) == ((), False)
    assert "no uncertainty" in unstated.remark


def test_equal_readings_of_two_notations_count_as_equal():
    inch, metric = 0.007 * 0.0254, 0.0001778
    assert inch != metric
    assert modified_z([inch, metric, inch, metric, inch]) is None


def test_a_bank_step_is_no_outlier_and_hides_none():
    banks = ["left"] * 4 + ["right"] * 4
    left, right = [9.400, 9.402, 9.401, 9.403], [9.450, 9.452, 9.451, 9.480]
    assert outliers(left + right, [0.004] * 8).indices == ()
    assert outliers(left + right, [0.004] * 8, banks).indices == (7,)
    assert outliers([*left, *right[:3], 9.453], [0.004] * 8, banks).indices == ()


def test_three_readings_make_a_bank_and_its_step_may_not_be_doubted_away():
    readings, banks = [9.400, 9.402, 9.401, 9.450, 9.452, 9.480], ["left"] * 3 + ["right"] * 3
    assert outliers(readings, [0.004] * 6, banks).indices == (5,)
    assert outliers(readings, [0.060] * 6, banks).indices == ()


def test_a_bank_of_two_readings_does_not_vouch_for_itself():
    readings, banks = [9.400, 9.402, 9.401, 9.403, 9.480, 9.481], ["left"] * 4 + ["right"] * 2
    assert outliers(readings, [0.004] * 6, banks).indices == (4, 5)


def test_range():
    assert spread_range([9.40, 9.43, 9.42, 9.45]) == pytest.approx(0.05)
    with pytest.raises(ValueError, match="readings"):
        spread_range([])


@pytest.mark.parametrize("count", [5, 6, 7, 8])
def test_the_second_criterion_spares_good_sets(count):
    """Good sets of a few readings, sigma a half of U: the score alone flags far too many of them."""
    draw, alone, both = random.Random(count), 0, 0
    for _ in range(2000):
        readings = [draw.gauss(9.4, 0.002) for _ in range(count)]
        alone += any(abs(score) > 3.5 for score in modified_z(readings))
        both += bool(outliers(readings, [0.004] * count).indices)
    assert 0.10 < alone / 2000 < 0.25, f"score alone flags {alone / 20:.1f} %"
    assert both / 2000 < 0.75 * alone / 2000, f"both flag {both / 20:.1f} %, score alone {alone / 20:.1f} %"


def test_one_reading_without_uncertainty_among_equals_condemns_none():
    assert not outliers([9.40] * 5 + [9.55], [0.01] * 5 + [0.0]).judged
