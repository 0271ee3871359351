"""Values that cannot belong to one engine are named with what was expected, from what, and what was found."""

from __future__ import annotations

from pathlib import Path

import pytest
from altered import CLOSED, EIGHT, FLAT, PAD_TIP, SIX, altered
from rewritten import Edit, judged_by
from written_values import BUILDS, unchanged

from buildcheck.app.build_check import CheckedBuild
from buildcheck.core.subject import Subject
from buildcheck.output.finding_wording import message

INTAKE = Subject(None, "intake")

LAST = "mark: {from: 0.145 in, to: 0.172 in}, shut_at: 0.153 in, open_at: 0.150 in}"
CASES = [
    (SIX, ("block.yaml", "rod_length: 6.310 in", "rod_length: 62 in"),
     "block.rod_length, expected 4.894 in to 9.789 in from block.stroke 3.765 in, found 62.000 in"),
    (SIX, ("block.yaml", "height: 5.260 in", "height: 9.900 in"),
     "block.height + heads.height, expected about 9.421 in from the pushrods, found 14.098 in"),
    (SIX, ("clearances.yaml", "rocker_to_stud: 0.085 in", "rocker_to_stud: 0.85 in"),
     "clearances.intake.rocker_to_stud, expected at most 0.6720 in from valve_lift 0.4480 in, found 0.8500 in"),
    (SIX, ("clearances.yaml", "retainer_to_seal: 0.575 in", "retainer_to_seal: 5.75 in"),
     "retainer_to_seal_clearance, expected at most 1.344 in from valve_lift 0.4480 in, found 5.302 in"),
    (SIX, ("clearances.yaml", "pushrod_to_head: 0.038 in", "pushrod_to_head: 0.38 in"),
     "clearances.exhaust.pushrod_to_head, expected at most 0.3125 in from pushrods.diameter 0.3125 in"),
    (SIX, ("clearances.yaml", "intake:\n", "intake:\n  valve_lift: 0.400 in\n"),
     "valve lift of the intake, expected 0.4480 in to 0.4480 in from lobe_lift and ratio, found 0.4000 in"),
    (CLOSED, ("clearances.yaml", "value: 0.135 in", "value: 0.165 in"),
     "clearances.intake.piston_to_valve, expected 0.1393 in from lift and drop of cylinder 1 intake, found 0.1650 in"),
    (CLOSED, ("clearances.yaml", "\nintake:\n", "\nintake:\n  valve_lift: 0.456 in\n"),
     "clearances.intake.valve_lift, expected 0.4445 in from the lift curve of cylinder 1 intake, found 0.4560 in"),
    (CLOSED, ("clearances.yaml", "each:\n", "each:\n  - {cylinder: 1, valve: intake, piston_to_valve: 0.120 in}\n"),
     "clearances.intake.piston_to_valve, expected 0.1393 in from lift and drop of cylinder 1 intake, found 0.1200 in"),
    (SIX, ("cam.yaml", "base_circle_diameter: 1.230 in", "base_circle_diameter: 12.30 in"),
     "cam.base_circle_diameter, expected 0.2800 in to 3.360 in from cam.intake.lobe_lift 0.2800 in, found 12.300 in"),
    (SIX, ("heads.yaml", "note: Installed", "each:\n  - {cylinder: 1, valve: intake, stem_height: 2.000 in}\n"
     "  - {cylinder: 2, valve: intake, stem_height: 2.030 in}\nnote: Installed"),
     "intake stem heights, expected within 0.0200 in of each other for one pushrod length, found 0.0300 in"),
    (SIX, ("marks.yaml", "uncertainty: 0.002 in", "uncertainty: 0.0002 in"),
     "expected 0.00045 in to 0.00600 in from its resolution 0.00050 in, found 0.00020 in"),
    (SIX, ("marks.yaml", "crank: 465 deg", "crank: 46.5 deg"),
     "crank of cylinder 6 intake, expected about 467 deg, the middle of its base circle, found 46.5 deg"),
    (SIX, ("pushrods.yaml", "step: 0.050 in", "step: 0.500 in"),
     "step of a stock list, expected at most 0.2000 in, found 0.5000 in"),
    (SIX, ("pushrods.yaml", "most_turns: 16", "most_turns: 160"),
     "most_turns of the checking pushrod, expected at most 64 from its length, found 160"),
    (FLAT, ("heads.yaml", "rate: 235 lbf/in", "rate: 23.5 lbf/in"),
     "seat_force / rate, expected 0.0810 in to 1.296 in from its installed height, found 3.489 in"),
    (FLAT, ("marks.yaml", "length: 10.537 in", "length: 105.37 in"),
     "trial length, expected 8.477 in to 12.716 in from the other trials, found 105.370 in"),
    (FLAT, ("marks.yaml", "open_at: 0.173 in", "open_at: 1.73 in"),
     "open_at, expected at most 0.3400 in from the valve tip diameter, found 1.730 in"),
    (EIGHT, ("heads.yaml", "chamber_volume: 62.4 cc", "chamber_volume: 624 cc"),
     "compression_ratio, expected 5.5 to 23, found"),
    (EIGHT, ("build.yaml", "running: 92 degC", "running: 9.2 degC"),
     "build.temperatures.running, expected at least 26.7 degC from build.temperatures.assembly 18.0 degC"),
    (PAD_TIP, ("rockers.yaml", "radius: 21 mm", "radius: 2.1 mm"),
     "radius of the pad tip, expected at least 9.000 mm from valve_arm, found 2.100 mm"),
    (PAD_TIP, ("marks.yaml", "to: 5.35 mm", "to: 0.535 mm"),
     "width of a mark, expected at least 0.600 mm, the contact_band, found 0.035 mm"),
    (SIX, ("clearances.yaml", "rocker_to_stud: 0.085 in", "rocker_to_stud: 0.085 in +/- 0 in"),
     "uncertainty of a reading, expected at least 0.00010 in, found 0.00000 in"),
    (CLOSED, ("as_built.yaml", "engagement: 0.42 in", "engagement: 4.2 in"),
     "engagement, expected 0.1 to 4, found 11.2"),
    (SIX, ("marks.yaml", LAST, "shut_at: 0.013 in, open_at: 0.010 in}"),
     "contact line of cylinder 1 intake, trial 3, expected at least 0.0300 in from the valve tip edge, found 0.0100 "),
    (SIX, ("marks.yaml", LAST, "\n      - {length: 9.4255 in, ".join([LAST] * 3)),
     "trials of cylinder 1 intake, expected readings that differ in the last digit, found 3 trials with the same "
     "values: enter each reading once"),
    (CLOSED, ("motion.yaml", "lift: 0.1960 in", "lift: 0.0196 in"),
     "lift at the lifter of cylinder 1 intake, reading 1, expected 0.1"),
    (CLOSED, ("motion.yaml", "crank: 200 deg", "crank: 20 deg"),
     "crank angles at the lifter of cylinder 1 exhaust, expected steps of at most 30 deg as in its other readings, "
     "found 185 deg between readings 1 and 2"),
]  # fmt: skip


@pytest.mark.parametrize(("folder", "edit", "words"), CASES, ids=[words[:40] for _, _, words in CASES])
def test_a_value_that_does_not_fit_is_a_warning_that_shows_both(
    tmp_path: Path, folder: str, edit: Edit, words: str
) -> None:
    found = _result(altered(tmp_path, folder, edit), "values-agree")
    assert words in found


ERRORS = [
    (("rockers.yaml", "radius: 0.250 in", "radius: 2.50 in"),
     "rockers.tip.radius, expected below 1.550 in from rockers.valve_arm, found 2.500 in"),
    (("heads.yaml", "height: 4.198 in", "height: 4.020 in"),
     "stackup.changes.head_height.is, expected 4.020 in from heads.height, found 4.198 in"),
    (("heads.yaml", "thickness: 1.07 mm", "thickness: 1.17 mm"),
     "stackup.changes.gasket_thickness.is, expected 0.0461 in from heads.gasket.thickness, found 0.0421 in"),
]  # fmt: skip


@pytest.mark.parametrize(("edit", "words"), ERRORS, ids=["roller radius", "head height", "gasket"])
def test_some_contradictions_block(tmp_path: Path, edit: Edit, words: str) -> None:
    checked = altered(tmp_path, SIX, edit)
    assert words in _result(checked, "parts-consistent")
    assert checked.exit_code == 1


def test_growth_is_undecided_if_a_height_cannot_be_right(tmp_path: Path) -> None:
    checked = altered(tmp_path, SIX, ("block.yaml", "height: 5.260 in", "height: 9.900 in"))
    kinds = {one.kind for one in judged_by(checked, "preload-hot")}
    assert kinds == {"open"}


def test_a_height_that_is_somewhat_off_makes_the_growth_less_certain(tmp_path: Path) -> None:
    before = unchanged(SIX).facts.get("gap_growth", INTAKE)
    after = altered(tmp_path, SIX, ("block.yaml", "height: 5.260 in", "height: 6.260 in")).facts
    assert after.get("gap_growth", INTAKE).expanded > 1.5 * before.expanded


@pytest.mark.parametrize("folder", BUILDS)
def test_no_shipped_build_has_such_a_warning(folder: str) -> None:
    kinds = {one.rule: one.kind for one in unchanged(folder).results}
    assert kinds["values-agree"] == "pass"


def test_one_valve_read_at_firing_top_dead_centre_of_its_cylinder_is_usual(tmp_path: Path) -> None:
    checked = altered(tmp_path, EIGHT, ("marks.yaml", "crank: 108 deg", "crank: 0 deg"))
    assert {one.kind for one in judged_by(checked, "values-agree")} == {"pass"}


def test_one_valve_read_at_a_stop_of_the_plan_is_usual(tmp_path: Path) -> None:
    checked = altered(tmp_path, EIGHT, ("marks.yaml", "crank: 18 deg", "crank: 180 deg"))
    assert "crank" not in _result(checked, "values-agree")


def _result(checked: CheckedBuild, rule: str) -> str:
    assert not checked.problems, checked.problems
    return " ".join(message(checked, one) for one in judged_by(checked, rule) if one.kind == "fail")


def test_the_least_gap_of_a_valve_type_may_be_smaller_than_that_of_one_of_its_valves(tmp_path: Path) -> None:
    smaller = altered(tmp_path, CLOSED, ("clearances.yaml", "value: 0.135 in", "value: 0.105 in"))
    assert "piston_to_valve" not in _result(smaller, "values-agree")
