"""How unsure the spread of lengths and the step between banks are, however near the lengths lie to each other."""

from __future__ import annotations

from math import hypot
from pathlib import Path
from statistics import stdev

import pytest
from altered import EIGHT, facts
from rewritten import Edit, copied, kinds
from scipy import stats

from buildcheck.app.run import run
from buildcheck.core.subject import Subject
from buildcheck.core.value import Undecided

MM = 0.001
INTAKE = Subject(None, "intake")
HEAD = "springs: checking\nlifter: locked\nturns_of_crank: 2\nvalves:\n"
EACH = """\
  - cylinder: CYLINDER
    valve: intake
    trials:
      - {length: 190.70 mm}
"""
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
def test_a_step_is_as_unsure_as_the_scatter_within_the_banks(tmp_path: Path, length: float, step: float) -> None:
    """Student's t by scipy over the deviation within banks of three, pooled: 4 degrees of freedom."""
    known = facts(tmp_path, EIGHT, sixth(length))
    found = known.get("bank_step", INTAKE)
    assert found.si / MM == pytest.approx(step, abs=1e-9)
    banks = [[known.get("length_asked", Subject(n, "intake")).si for n in bank] for bank in ((1, 2, 3), (5, 6, 7))]
    within = ((stdev(banks[0]) ** 2 + stdev(banks[1]) ** 2) / 2) ** 0.5
    assert found.expanded == pytest.approx(stats.t.ppf(0.975, 4) * within * (2 / 3) ** 0.5)
    assert found.remark == "from 6 lengths with 4 degrees of freedom"


def test_the_expected_spread_uses_all_lengths(tmp_path: Path) -> None:
    known = facts(tmp_path, EIGHT, sixth(190.79))
    lengths = [known.get("length_asked", Subject(n, "intake")).si for n in (1, 2, 3, 5, 6, 7)]
    found = known.get("length_spread_estimate", INTAKE)
    assert found.si == pytest.approx(2.847 * stdev(lengths), rel=1e-3)
    assert found.expanded == pytest.approx(2 * found.si / 10**0.5)
    assert found.remark == "6 of 8 measured"


def test_equal_lengths_are_narrow_but_not_by_a_gauge_that_shows_no_difference(tmp_path: Path) -> None:
    """Eight lengths alike pass; by a gauge of 1 mm they leave 0.82 mm to expect, against 0.030 in."""
    alike = [EACH.replace("CYLINDER", str(n)) for n in range(1, 9)]
    for resolution, kind in (("0.01 mm", "pass"), ("1 mm", "open")):
        text = f"length_gauge: {{name: caliper, resolution: {resolution}, uncertainty: 1 mm}}\n{HEAD}{''.join(alike)}"
        build = copied(tmp_path / kind, EIGHT)
        (build / "marks.yaml").write_text(text, encoding="utf-8")
        assert kinds(run([build]).builds[0], "length-spread-narrow", "intake") == {kind}


def test_two_lengths_leave_too_few_degrees_of_freedom(tmp_path: Path) -> None:
    build = copied(tmp_path, EIGHT)
    alike = [EACH.replace("CYLINDER", str(n)) for n in (1, 5)]
    text = f"length_gauge: {{name: caliper, resolution: 0.01 mm}}\n{HEAD}{''.join(alike)}"
    (build / "marks.yaml").write_text(text, encoding="utf-8")
    known = run([build]).builds[0].facts
    with pytest.raises(Undecided, match="2 lengths leave 1 degree of freedom: measure a third intake valve"):
        known.get("length_spread_estimate", INTAKE)
    with pytest.raises(Undecided, match="one length a bank leaves no degree of freedom"):
        known.get("bank_step", INTAKE)
