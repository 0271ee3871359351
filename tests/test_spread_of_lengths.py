"""How unsure the spread of lengths and the step between banks are, however near the lengths lie to each other."""

from __future__ import annotations

from math import hypot
from pathlib import Path

import pytest
from altered import EIGHT, altered, facts
from rewritten import Edit, kinds

from buildcheck.core.subject import Subject

MM = 0.001
INTAKE = Subject(None, "intake")
ONE, TWO = hypot(0.03, 0.06), hypot(0.03, 0.06, 2 * 0.005 * 2**0.5) / 2**0.5
"""Expanded uncertainty of a length read once, by the gauge and the feel, and of cylinder 1's two 0.01 mm apart, mm."""


def sixth(length: float) -> Edit:
    """Cylinder 6 intake of another length; 1, 2, 3 lie at 190.685, 190.74, 190.72 mm, 5 and 7 at 190.79, 190.74 mm."""
    return ("marks.yaml", "length: 190.86 mm", f"length: {length} mm")


@pytest.mark.parametrize(("length", "spread"), [(190.86, 0.175), (190.79, 0.105), (190.70, 0.105)])
def test_a_spread_is_as_unsure_as_the_longest_and_the_shortest(tmp_path: Path, length: float, spread: float) -> None:
    found = facts(tmp_path, EIGHT, sixth(length)).get("length_spread", INTAKE)
    assert found.si / MM == pytest.approx(spread)
    assert found.expanded / MM == pytest.approx(hypot(ONE, TWO), rel=1e-6)


@pytest.mark.parametrize(("length", "step"), [(190.86, 0.245 / 3), (190.70, 0.085 / 3), (190.615, 0.0)])
def test_a_step_is_as_unsure_as_both_banks_however_small(tmp_path: Path, length: float, step: float) -> None:
    found = facts(tmp_path, EIGHT, sixth(length)).get("bank_step", INTAKE)
    assert found.si / MM == pytest.approx(step, abs=1e-9)
    assert found.expanded / MM == pytest.approx(hypot(TWO, ONE, ONE, ONE, ONE, ONE) / 3, rel=1e-6)


def test_lengths_read_alike_by_a_coarse_gauge_do_not_pass_for_narrow(tmp_path: Path) -> None:
    """0.105 mm ± 1.3 mm against 0.030 in: nobody can tell."""
    coarse = ("marks.yaml", "resolution: 0.01 mm, uncertainty: 0.03 mm", "resolution: 0.01 mm, uncertainty: 1.00 mm")
    found = altered(tmp_path, EIGHT, coarse, sixth(190.79))
    assert kinds(found, "length-spread-narrow", "intake") == {"open"}
    assert kinds(altered(tmp_path / "fine", EIGHT, sixth(190.79)), "length-spread-narrow", "intake") == {"pass"}
