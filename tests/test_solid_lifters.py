"""Solid lifters: where the screw ends, the turns that the lash takes, lift and sweep with lash off."""

from __future__ import annotations

from math import sqrt
from pathlib import Path

import pytest
from rewritten import ROOT, as_it_is, kinds, results, rewritten

from buildcheck.cli.main import main
from buildcheck.core.subject import Subject
from buildcheck.output.report.adjuster_rows import settings

FLAT = "tests/builds/flat_four_solid"
INCH = 0.0254


def test_the_screw_ends_where_the_pushrod_ordered_leaves_it() -> None:
    facts = as_it_is(FLAT).facts
    stand = facts.get("adjuster_stand", Subject(3, "exhaust"))
    assert stand.si / INCH == pytest.approx(10.594 + 0.020 - 0.018 / 1.4 - 10.600)
    assert stand.expanded >= 0.002 * INCH
    assert kinds(as_it_is(FLAT), "adjuster-in-range") == {"pass"}


@pytest.mark.parametrize(("length", "sign"), [("10.450 in", 1), ("10.750 in", -1)])
def test_a_pushrod_that_leaves_the_screw_out_of_its_range_fails(tmp_path: Path, length: str, sign: int) -> None:
    chosen = f"chosen: {{intake: {length}, exhaust: 10.600 in, stated_as: overall}}\n"
    found = rewritten(tmp_path, FLAT, ("pushrods.yaml", "", chosen))
    assert kinds(found, "adjuster-in-range", "intake") == {"fail"}
    assert kinds(found, "adjuster-in-range", "exhaust") == {"pass"}
    assert all(one.value is not None and one.blocks for one in results(found, "adjuster-in-range", "intake"))
    assert sign * found.facts.get("adjuster_stand", Subject(1, "intake")).si > 0.100 * INCH


def test_no_pushrod_is_ordered_with_their_tolerance_takes_the_screw_out_of_its_range(tmp_path: Path) -> None:
    short = ("rockers.yaml", "adjuster_range: 0.100 in", "adjuster_range: 0.012 in")
    found = rewritten(tmp_path, FLAT, short)
    ordered = {subject for line in found.order.lines for subject in line.serves}
    assert {one.kind for one in results(found, "adjuster-in-range") if one.subject in ordered} <= {"pass"}


def test_lash_that_a_pushrod_leaves_is_as_unsure_as_the_pushrod(tmp_path: Path) -> None:
    """0.002 in of the gauge, 0.003 in of the feel and 0.002 in of the pushrod's maker, 1.4 times at the valve."""
    no_screw = [
        ("rockers.yaml", "adjuster: screw", "adjuster: none"),
        ("rockers.yaml", "adjuster_range: 0.100 in\nscrew_at: 0.020 in\n", ""),
        ("pushrods.yaml", "", "chosen: {intake: 10.575 in, exhaust: 10.575 in, stated_as: overall}\n"),
    ]
    lash = rewritten(tmp_path, FLAT, *no_screw).facts.get("lash", Subject(3, "exhaust"))
    assert lash.si / INCH == pytest.approx(1.4 * (10.594 - 10.575))
    assert lash.expanded / INCH == pytest.approx(1.4 * sqrt(0.002**2 + 0.003**2 + 0.002**2))


def test_only_a_screw_has_a_range() -> None:
    assert kinds(as_it_is("example_build"), "adjuster-in-range") == set()


def test_turns_that_the_lash_takes() -> None:
    """A screw moves its pitch in a turn, the valve R times that."""
    turns = as_it_is(FLAT).facts.get("lash_turns", Subject(None, "exhaust"))
    assert turns.si == pytest.approx(0.018 / (1.4 / 24))


def test_lift_and_narrowest_sweep_with_lash_off() -> None:
    facts, exhaust = as_it_is(FLAT).facts, Subject(None, "exhaust")
    lift = 0.305 * 1.4 - 0.018
    assert facts.get("valve_lift", exhaust).si / INCH == pytest.approx(lift)
    assert facts.get("mark_width_running", exhaust).si / INCH == pytest.approx(1.420 - sqrt(1.420**2 - lift**2 / 4))
    assert facts.get("mark_width_running", exhaust).si < facts.get("mark_width_least", exhaust).si


def test_the_report_shows_the_turns_and_the_lash_to_set() -> None:
    turns = list(settings(as_it_is(FLAT).facts))
    assert turns[0] == "intake 0.26 turns back from zero lash, then by gauge to 0.0150 in of lash cold"
    assert len(turns) == 2


def test_lash_is_taken_off_a_lift_measured_at_zero_lash_too(tmp_path: Path) -> None:
    measured = ("clearances.yaml", "intake: {", "intake: {valve_lift: 0.430 in, ")
    found = rewritten(tmp_path, FLAT, measured)
    assert found.facts.get("valve_lift", Subject(None, "intake")).si / INCH == pytest.approx(0.430 - 0.015)


@pytest.mark.parametrize("topic", ["clearances.intake.valve_lift", "valve_lift"])
def test_explain_and_the_starter_say_that_lift_is_measured_at_zero_lash(
    capsys: pytest.CaptureFixture[str], topic: str
) -> None:
    assert main(["explain", topic, str(ROOT)]) == 0
    starter = (ROOT / "buildcheck/cli/starter/clearances.yaml").read_text(encoding="utf-8")
    for text in (capsys.readouterr().out, starter):
        assert "at zero lash" in text
        assert "lifter" in text
