"""The clearance at the valve with the lifter's plunger at its bottom, against what is printed for one engine family."""

import pytest

from buildcheck.formulas.zero_lash import from_feeler

LEAST, MOST, TRAVEL, RATIO = 0.028, 0.080, 0.150, 1.2
"""Dry clearance, secondary source: Kitplanes, 'Maintenance Matters: Dry Tappet Clearance'; the rest is ours."""


def test_a_shorter_pushrod_gives_more_dry_clearance():
    # Kitplanes, 'Maintenance Matters: Dry Tappet Clearance' (secondary source)
    zero_lash = from_feeler(11.500, LEAST, RATIO, TRAVEL)
    shorter = 11.500 - (MOST - LEAST) / RATIO
    assert from_feeler(shorter, MOST, RATIO, TRAVEL) == pytest.approx(zero_lash)
    assert shorter < 11.500


@pytest.mark.parametrize("gap", [LEAST, MOST])
def test_within_that_clearance_the_plunger_is_off_both_ends(gap: float) -> None:
    # Kitplanes, 'Maintenance Matters: Dry Tappet Clearance' (secondary source)
    preload = 11.500 - from_feeler(11.500, gap, RATIO, TRAVEL)
    assert 0 < preload < TRAVEL
