"""Whole stack-ups from the files to the length to expect, worked out again with the package uncertainties."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from rewritten import as_it_is, kinds, results, rewritten
from uncertainties import UFloat, nominal_value, ufloat
from uncertainties.umath import sqrt

from buildcheck.core.subject import Subject
from buildcheck.output.report.stackup_rows import stack_up

RULE = "predicted-agrees"
INCH, MM = 0.0254, 0.001


def read(value: float, expanded: float = 0.0, unit: float = INCH) -> Any:
    """A value as written, with half of its expanded uncertainty as the standard one."""
    return ufloat(value * unit, expanded * unit / 2) if expanded else value * unit


def caps(radius: float, hole: float) -> float:
    return float(2 * (radius - sqrt(radius**2 - (hole / 2) ** 2)))


def term(effect: Any) -> Any:
    """One first-order term, as sure as 5 % of it."""
    return effect + ufloat(0.0, 0.025 * abs(nominal_value(effect)))


def six(valve: str) -> Any:
    overall = read(9.260 + caps(5 / 32, 0.120) - caps(5 / 32, 0.080))
    taller = term(read(4.198, 0.005) - read(4.020, 0.005))
    gasket = term(read(1.07, unit=MM) - read(0.020))
    return overall - term(read(0.010, 0.002)) + taller + gasket + term(read(0.006, 0.002))


def eight(valve: str) -> Any:
    overall = read({"intake": 187.30, "exhaust": 188.30}[valve] - caps(3.97, 2.0), unit=MM)
    taller = term(read(84.00, 0.10, MM) - read(80.50, 0.10, MM))
    raised = term(read(0.75, 0.02, MM) * (1 + 1 / 1.7))
    return overall - term(read(0.25, 0.03, MM)) + taller + term(read(1.05, unit=MM) - read(0.90, unit=MM)) + raised


def four(valve: str) -> Any:
    smaller = term((read(1.040, 0.002) - read(1.100, 0.002)) / -2)
    raised, higher = term(read(0.030) * (1 + 1 / 1.4)), term(read(0.048, 0.004) / 1.4)
    return read(10.575, 0.003) - term(read(0.020, 0.002)) + smaller + raised - higher


BUILDS: dict[str, Callable[[str], UFloat]] = {
    "example_build": six,
    "tests/builds/vee_eight_mm": eight,
    "tests/builds/flat_four_solid": four,
}


@pytest.mark.parametrize("folder", BUILDS)
@pytest.mark.parametrize("valve", ["intake", "exhaust"])
def test_length_and_uncertainty_as_worked_out_by_another_package(folder: str, valve: str) -> None:
    found = as_it_is(folder).facts.get("predicted_length", Subject(None, valve))
    other = BUILDS[folder](valve)
    assert found.si == pytest.approx(other.nominal_value, abs=1e-12)
    assert found.expanded == pytest.approx(2 * other.std_dev, rel=1e-6)


@pytest.mark.parametrize("folder", BUILDS)
def test_measured_lengths_agree_with_the_old_pushrods_and_the_changes(folder: str) -> None:
    found = as_it_is(folder)
    assert kinds(found, RULE, "intake") == kinds(found, RULE, "exhaust") == {"pass"}


def test_a_gasket_taken_for_another_is_caught_and_blocks(tmp_path: Path) -> None:
    found = rewritten(tmp_path, "example_build", ("stackup.yaml", "is: 1.07 mm", "is: 2.00 mm"))
    assert (kinds(found, RULE), found.verdict) == ({"fail"}, "fail")
    result = results(found, RULE)[0]
    assert "measured 9.426 in, predicted 9.472 in, -0.0462 in ± 0.0209 in apart" in result.message
    assert {"stackup.yaml", "marks.yaml", "cam.yaml"} <= {place.file for place in result.places}


def test_a_change_known_on_one_side_only_leaves_it_open(tmp_path: Path) -> None:
    found = rewritten(tmp_path, "example_build", ("stackup.yaml", "  preload: 0.034 in\n", ""))
    result = results(found, RULE)[0]
    assert (result.kind, result.blocks) == ("open", False)
    assert "baseline.preload is missing in stackup.yaml" in result.message


def test_a_pedestal_under_a_nut_is_a_contradiction(tmp_path: Path) -> None:
    found = rewritten(tmp_path, "example_build", ("stackup.yaml", "changes:", "changes:\n  pedestal_raised: 0.030 in"))
    result = results(found, RULE)[0]
    assert (result.kind, result.blocks) == ("open", True)
    assert "no pedestal to raise" in result.message


def test_without_a_known_length_nothing_is_predicted() -> None:
    found = as_it_is("tests/builds/inline_four_pad")
    assert "stackup" not in found.build.roots
    assert (kinds(found, RULE), stack_up(found)) == (set(), [])


def test_the_report_lists_the_largest_change_first() -> None:
    rows = [(row.what, row.amounts) for row in stack_up(as_it_is("tests/builds/flat_four_solid"))]
    assert [what for what, _ in rows[1:-1]] == ["pedestal raised", "tip higher", "base circle diameter", "head milled"]
    assert rows[1][1] == "+0.0514 in ± 0.0026 in"
    assert rows[-1] == ("length to expect", "10.602 in ± 0.0060 in")
