"""The chance that a pushrod does not suit a valve that was not measured, against simulation and published figures."""

from __future__ import annotations

import random
import re
from itertools import pairwise
from pathlib import Path
from statistics import fmean, stdev

import pytest
from scipy import stats

from buildcheck.formulas.assumed_valves import build_risk, misfit_probability, pooled_deviation

SETS = {path.stem: path for path in (Path(stats.__file__).parent / "tests/data/nist_anova").glob("*.dat")}
"""NIST Statistical Reference Datasets, one-way analysis of variance, as scipy ships them for its own tests."""


@pytest.mark.parametrize("name", ["SiRstv", "AtmWtAg", *(f"SmLs0{number}" for number in range(1, 10))])
def test_pooling_gives_the_residual_deviation_of_the_nist_set(name: str) -> None:
    """NIST Statistical Reference Datasets: SiRstv, 5 instruments of 5 readings, residual s 0.104076068334656.

    AtmWtAg and SmLs01 to 09 test numerical strength. With 13 constant leading digits, as SmLs07 to 09 have, floats
    hold the data themselves to 1e-4 of the deviation only.
    """
    head, _, table = SETS[name].read_text(encoding="ascii").rpartition("\nData: ")
    certified = float(re.findall(r"Standard Deviation\s+(\S+)", head)[-1])
    groups: dict[str, list[float]] = {}
    for group, value in map(str.split, table.splitlines()[1:]):
        groups.setdefault(group, []).append(float(value))
    sizes = [len(own) - 1 for own in groups.values()]
    found, freedom = pooled_deviation([stdev(own) for own in groups.values()], sizes)
    assert freedom == sum(sizes)
    assert found == pytest.approx(certified, rel=1e-4 if name >= "SmLs07" else 1e-9)
    assert name != "SiRstv" or certified == 0.104076068334656


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
