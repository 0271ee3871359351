"""Compression from the files to the result: the whole stack, the dish in words, the intake's closing."""

from __future__ import annotations

from math import cos, pi, radians, sin, sqrt
from pathlib import Path

import pytest
from rewritten import as_it_is, results, rewritten

from buildcheck.core.value import Undecided

SIX, FLAT = "example_build", "tests/builds/flat_four_solid"
SWEPT = pi / 4 * 10.1727**2 * 9.5631  # cc, 4.005 × 3.765 in
ROOM = 78 + pi / 4 * 10.414**2 * 0.107 + pi / 4 * 10.1727**2 * 0.013 + 12


def test_every_part_of_the_stack_is_counted(tmp_path: Path) -> None:
    assert as_it_is(SIX).facts.get("compression_ratio").si == pytest.approx((SWEPT + ROOM) / ROOM)
    found = rewritten(tmp_path, SIX, ("block.yaml", "piston_volume", "ring_land_volume: 0.8 cc\npiston_volume"))
    assert found.facts.get("compression_ratio").si == pytest.approx((SWEPT + ROOM + 0.8) / (ROOM + 0.8))


@pytest.mark.parametrize(
    ("piston", "expected"),
    [("12 cc", "piston with a dish of 12.0 cc"), ("-3 cc", "piston with a dome of 3.0 cc"), ("0 cc", "flat piston")],
)
def test_dish_or_dome_is_said_in_words(tmp_path: Path, piston: str, expected: str) -> None:
    found = rewritten(tmp_path, SIX, ("block.yaml", "piston_volume: 12 cc", f"piston_volume: {piston}"))
    assert f"({expected})" in results(found, "compression-plausible")[0].message


def test_dynamic_ratio_counts_from_where_the_piston_is_as_the_intake_shuts() -> None:
    """264/2 + 107 − 180 = 59 deg after BDC; crank of 1.8825 in, connecting rod of 6.310 in."""
    crank = radians(180 + 59)
    down = 1.8825 * (1 - cos(crank)) + 6.310 - sqrt(6.310**2 - (1.8825 * sin(crank)) ** 2)
    found = as_it_is(SIX).facts.get("dynamic_compression_ratio").si
    assert found == pytest.approx((SWEPT * down / 3.765 + ROOM) / ROOM)
    assert 1 < found < as_it_is(SIX).facts.get("compression_ratio").si


def test_durations_at_a_high_rise_tell_no_dynamic_ratio(tmp_path: Path) -> None:
    found = rewritten(tmp_path, SIX, ("cam.yaml", "duration_at: 0.006 in", "duration_at: 0.050 in"))
    with pytest.raises(Undecided, match="not seat to seat"):
        found.facts.get("dynamic_compression_ratio")


def test_a_piston_that_is_lower_has_less_compression_and_more_quench() -> None:
    found = as_it_is(FLAT)
    quench = {one.subject.cylinder: one.value.si for one in results(found, "quench") if one.value}
    assert quench[3] - quench[1] == pytest.approx(0.002 * 0.0254)
    ratio = {one.subject.cylinder: one.value.si for one in results(found, "compression-plausible") if one.value}
    assert ratio[3] < ratio[1]
