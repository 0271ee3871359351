"""Fields: gauges, overrides, uncertainties as written, and what is said of what is not there."""

from __future__ import annotations

from pathlib import Path

import pytest
from judging import Judged
from rewritten import Edit, as_it_is, rewritten

from buildcheck.build.facts import Facts
from buildcheck.build.trials import trials
from buildcheck.core.subject import BUILD, Subject, on_each_cylinder
from buildcheck.core.value import NotApplicable, Undecided
from buildcheck.registry.engine_wide import ENGINE_WIDE
from buildcheck.registry.quantity_table import QUANTITIES

SIX, VEE, IN = "example_build", "tests/builds/vee_eight_mm", 0.0254
GAP = "clearances.{valve}.rocker_to_stud"


def facts(tmp_path: Path, *edits: Edit, folder: str = SIX) -> Facts:
    return rewritten(tmp_path, folder, *edits).facts


@pytest.mark.parametrize(
    ("written", "expanded"),
    [
        ("0.085 in", 0.003),
        ("0.085 in +/- 0.001 in", 0.001),
        ("0.085 in +/- 0 in", 0.0),
        ("{value: 0.085 in, gauge: {name: pins, resolution: 0.001 in, uncertainty: 0.002 in}}", 0.002),
        ("{value: 0.085 in, gauge: {name: pins, resolution: 0.006 in}}", 2 * 0.006 / 12**0.5),
        ("{value: 0.085 in +/- 0.004 in, gauge: {name: pins, resolution: 0.006 in}}", 0.004),
        ("{value: 0.085 in}", 0.003),
    ],
)
def test_uncertainty_as_written_before_its_gauge_s_before_the_file_s(
    tmp_path: Path, written: str, expanded: float
) -> None:
    found = facts(tmp_path, ("clearances.yaml", "rocker_to_stud: 0.085 in", f"rocker_to_stud: {written}"))
    value = found.field(GAP, Subject(None, "intake"))
    assert (value.si, value.expanded) == (pytest.approx(0.085 * IN), pytest.approx(expanded * IN))
    assert (value.places[0].file, value.places[0].line) == ("clearances.yaml", 7)


def test_a_value_without_gauge_or_statement_has_no_uncertainty(tmp_path: Path) -> None:
    assert facts(tmp_path).field("block.bore").expanded == 0


def test_lengths_marks_and_the_feel_for_zero_lash_carry_their_own_gauges(tmp_path: Path) -> None:
    found = facts(tmp_path, ("pushrods.yaml", "inclination: 4 deg", "inclination: 0 deg"))
    offset = found.get("mark_offset", Subject(2, "intake"))
    assert offset.expanded == pytest.approx((2 * (0.003 / 2) ** 2 + (0.002 / 2) ** 2) ** 0.5 * IN)
    zero = facts(tmp_path / "vee", folder=VEE).get("zero_lash_length", Subject(2, "intake"))
    assert zero.expanded == pytest.approx((0.03**2 + 0.06**2) ** 0.5 * 0.001)


def test_repeats_give_their_mean_and_its_spread(tmp_path: Path) -> None:
    """190.68 and 190.69 mm on one shim; the first trial, on another, is no repeat."""
    zero = facts(tmp_path, folder=VEE).get("zero_lash_length", Subject(1, "intake"))
    assert zero.si == pytest.approx(0.190685)
    each = (0.03**2 + 0.06**2) / 2
    assert zero.expanded == pytest.approx((each + 0.01**2) ** 0.5 * 0.001)


def test_an_entry_for_one_cylinder_counts_for_it_alone(tmp_path: Path) -> None:
    found = facts(tmp_path)
    path = "clearances.{valve}.pushrod_to_head"
    values = {n: round(found.field(path, Subject(n, "exhaust")).si / IN, 6) for n in (3, 4)}
    assert values == {3: 0.044, 4: 0.038}
    assert found.field(path, Subject(4, "intake")).si == pytest.approx(0.048 * IN)
    assert found.field(path, Subject(None, "exhaust")).si == pytest.approx(0.044 * IN)


def test_a_ratio_for_each_valve_type(tmp_path: Path) -> None:
    found = facts(tmp_path, ("rockers.yaml", "ratio: 1.6", "ratio: {intake: 1.6, exhaust: 1.5}"))
    assert found.field("rockers.ratio", Subject(2, "exhaust")).si == 1.5
    assert found.get("valve_lift", Subject(None, "exhaust")).si == pytest.approx(0.285 * 1.5 * IN)
    with pytest.raises(Undecided, match="several values"):
        found.field("rockers.ratio", BUILD)


@pytest.mark.parametrize(
    ("path", "reason", "place"),
    [
        ("as_built.signed_by", "as_built.yaml does not exist yet", "build.yaml:1:1"),
        ("cam.lifter.preload.aim", "lifter.preload.aim is missing in cam.yaml", "cam.yaml:5:12"),
        ("heads.springs.{valve}.wire_2", "springs.intake.wire_2 is missing", "heads.yaml:23:5"),
    ],
)
def test_what_is_missing_is_reported_at_the_deepest_place_there_is(
    tmp_path: Path, path: str, reason: str, place: str
) -> None:
    undecided = facts(tmp_path).missing(path, Subject(1, "intake"))
    assert reason in undecided.reason
    assert str(undecided.places[0]) == place


def test_a_limit_that_names_two_values_decides_nothing(judged: Judged) -> None:
    split = ("rockers.yaml", "ratio: 1.6", "ratio: {intake: 1.6, exhaust: 1.5}")
    limits = "limits:\n  quench: {at_most: 0.1 in * rockers.ratio, because: a trial}\n"
    assert judged(SIX, ("build.yaml", "limits:\n", limits)).kinds("quench") == {"": "pass"}
    result = judged(SIX, split, ("build.yaml", "limits:\n", limits)).result("quench")
    assert (result["kind"], result["value"]) == ("open", None)


def outcome(found: Facts, name: str, subject: Subject) -> tuple[object, ...]:
    """A quantity with its places and remark, or why it has no value."""
    try:
        value = found.get(name, subject)
    except (NotApplicable, Undecided) as error:
        return type(error), error.reason
    return value.si, value.expanded, value.places, value.remark


@pytest.mark.parametrize("folder", [VEE, "tests/builds/flat_four_solid", "tests/builds/inline_six_closed"])
def test_engine_wide_quantities_are_the_same_on_every_cylinder(folder: str) -> None:
    found = as_it_is(folder).facts
    for name in ENGINE_WIDE:
        for subject in found.subjects(QUANTITIES[name].per):
            on_each = {outcome(found, name, one) for one in on_each_cylinder(subject, found.cylinders)}
            assert on_each == {outcome(found, name, subject)}, name


def test_a_rule_is_judged_by_cylinder_if_its_limit_may_differ(judged: Judged) -> None:
    assert set(judged(VEE).kinds("length-spread")) == {"intake", "exhaust"}
    limit = '"0.02 * heads.springs.{valve}.installed_height"'
    limits = f"limits:\n  length-spread: {{at_most: {limit}, because: a trial}}\n"
    assert "6/exhaust" in judged(VEE, ("build.yaml", "", limits)).kinds("length-spread")


@pytest.mark.parametrize(("folder", "system"), [(SIX, "inch"), (VEE, "metric")])
def test_values_are_shown_as_the_files_mostly_speak(tmp_path: Path, folder: str, system: str) -> None:
    assert facts(tmp_path, folder=folder).system == system


def test_the_lash_of_solid_lifters_comes_off_the_lift(tmp_path: Path) -> None:
    found = facts(tmp_path, folder="tests/builds/flat_four_solid")
    lifts = [found.get("valve_lift", Subject(None, valve)).si / IN for valve in ("intake", "exhaust")]
    assert lifts == [pytest.approx(0.300 * 1.4 - 0.015), pytest.approx(0.305 * 1.4 - 0.018)]


@pytest.mark.parametrize(
    ("gauge", "expanded"),
    [
        ("", 0.001),
        ("length_gauge: {name: caliper, resolution: 0.0005 in}", 0.001),
        ("length_gauge: {name: steel rule, resolution: 0.0005 in}", 1 / 64),
        ("length_gauge: {name: caliper, resolution: 0.010 in}", 0.010 / 3**0.5),
        ("length_gauge: {name: micrometer, resolution: 0.0001 in, uncertainty: 0.0003 in}", 0.0003),
    ],
)
def test_a_reading_without_a_stated_uncertainty_has_the_usual_one_of_its_gauge(
    tmp_path: Path, gauge: str, expanded: float
) -> None:
    """Without any gauge a length is never more certain than with one (common practice, no published source)."""
    written = "length_gauge: {name: 12 in caliper, resolution: 0.0005 in, uncertainty: 0.002 in}"
    feel = "zero_lash_repeatability: 0.004 in       # found five times over on number 1 intake\n"
    found = facts(tmp_path, ("marks.yaml", written, gauge), ("marks.yaml", feel, ""))
    length = trials(found, Subject(2, "intake"))[-1].length
    assert length is not None
    assert length.expanded / 0.0254 == pytest.approx(expanded)
