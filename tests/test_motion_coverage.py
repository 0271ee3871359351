"""The stated uncertainty of a gap holds the true one: a small sample; tests/bench/motion_coverage.py draws more."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
from thorough import number

sys.path.insert(0, str(Path(__file__).parent / "bench"))

from motion_coverage import INCH, Found, simulated
from nose_coverage import simulated as simulated_noses


@pytest.fixture(scope="module")
def found() -> list[Found]:
    return simulated(number(60, 150))


def test_nineteen_of_twenty_gaps_hold_the_true_one(found: list[Found]) -> None:
    own = [one for one in found if one.face and one.gap is not None]
    assert len(own) > number(30, 80)
    assert sum(one.held for one in own) / len(own) >= 0.93


def test_hardly_any_gap_is_optimistic_beyond_its_uncertainty(found: list[Found]) -> None:
    assert sum(one.optimistic for one in found) / len(found) <= 0.025


def test_the_uncertainty_is_not_bought_by_excess(found: list[Found]) -> None:
    by_stop = [one.expanded for one in found if one.face and one.stop and one.gap is not None]
    assert sum(by_stop) / len(by_stop) < 0.010 * INCH


def test_the_crank_angle_of_the_least_gap_is_within_its_uncertainty(found: list[Found]) -> None:
    own = [one for one in found if one.gap is not None]
    assert sum(one.angle_held for one in own) / len(own) >= 0.93
    assert sum(one.angle_expanded for one in own) / len(own) < 6


def test_centreline_and_full_lift_are_within_their_uncertainty() -> None:
    noses = simulated_noses(number(25, 60))
    assert len(noses) >= number(24, 58)
    assert sum(one.angle_held for one in noses) / len(noses) >= 0.93
    assert sum(one.lift_held for one in noses) / len(noses) >= 0.93
    assert sum(one.lift_expanded for one in noses) / len(noses) < 0.003 * INCH
