"""The chance that a pushrod does not suit a valve that was not measured, against simulation and published figures."""

from __future__ import annotations

import random
from itertools import pairwise
from statistics import fmean, stdev

import pytest
from scipy import stats

from buildcheck.formulas.assumed_valves import build_risk, misfit_probability, pooled_deviation


def test_pooling_gives_the_residual_deviation_of_the_nist_set() -> None:
    """NIST Statistical Reference Datasets, SiRstv: 5 instruments of 5 readings, residual s 0.104076068334656."""
    instruments = [
        (196.3052, 196.1240, 196.1890, 196.2569, 196.3403),
        (196.3042, 196.3825, 196.1669, 196.3257, 196.0422),
        (196.1303, 196.2005, 196.2889, 196.0343, 196.1811),
        (196.2795, 196.1748, 196.1494, 196.1485, 195.9885),
        (196.2119, 196.1051, 196.1850, 196.0052, 196.2090),
    ]
    found, freedom = pooled_deviation([stdev(own) for own in instruments], [4] * 5)
    assert (found, freedom) == (pytest.approx(0.104076068334656, rel=1e-9), 20)


def test_the_chance_is_that_of_one_further_value_of_the_sample() -> None:
    """2,000 samples of five valves and a sixth: the mean stated chance is the share that really misses."""
    draw = random.Random(7)
    stated, missed = [], 0
    for _ in range(2000):
        *known, other = (draw.gauss(0.0, 1.0) for _ in range(6))
        stated.append(misfit_probability(0.5, 2.0, 1.5, fmean(known), stdev(known), 4, 5))
        missed += not -1.5 <= other <= 2.0
    chance = stats.norm.cdf(-1.5) + stats.norm.sf(2.0)
    assert missed / 2000 == pytest.approx(chance, abs=0.015)
    assert fmean(stated) >= chance


def test_it_grows_with_the_spread_and_falls_with_room_and_readings() -> None:
    spreads = [misfit_probability(0.0, 0.02, 0.02, 0.0, 0.001 * sd, 5, 6) for sd in range(1, 12)]
    rooms = [misfit_probability(0.0, 0.002 * room, 0.02, 0.0, 0.008, 5, 6) for room in range(1, 12)]
    readings = [misfit_probability(0.0, 0.02, 0.02, 0.0, 0.008, n - 1, n) for n in range(2, 12)]
    assert all(one < other for one, other in pairwise(spreads))
    assert all(one > other for one, other in pairwise(rooms))
    assert all(one > other for one, other in pairwise(readings))


def test_no_room_is_certain_to_miss_and_no_spread_is_certain() -> None:
    assert misfit_probability(0.0, 0.0, 0.02, 0.0, 0.008, 5, 6) == 1.0
    assert misfit_probability(0.0, 0.02, 0.02, 0.03, 0.0, 5, 6) == 1.0
    assert misfit_probability(0.0, 0.02, 0.02, 0.01, 0.0, 5, 6) == 0.0


def test_the_risk_of_a_build_is_a_bound() -> None:
    assert build_risk([]) == 0.0
    assert build_risk([0.6, 0.7]) == 1.0


@pytest.mark.parametrize("readings", [0, -1])
def test_a_mean_needs_readings(readings: int) -> None:
    with pytest.raises(ValueError, match="needs readings"):
        misfit_probability(0.0, 0.02, 0.02, 0.0, 0.008, 5, readings)
