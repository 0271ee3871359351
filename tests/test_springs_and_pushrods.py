"""Springs and pushrods, from the files to the results: loads, losses, and figures that do not belong together."""

from __future__ import annotations

from pathlib import Path

import pytest
from rewritten import ROOT, as_it_is, kinds, results, rewritten

from buildcheck.core.subject import Subject

LBF, INCH = 4.4482216152605, 0.0254
SIX, EIGHT = "example_build", "tests/builds/vee_eight_mm"
INTAKE = Subject(None, "intake")
SEAT, RATE = "    seat_force: 95 lbf\n", "    rate: 265 lbf/in\n"


def test_rate_from_the_two_loads_that_the_tester_gave(tmp_path: Path) -> None:
    """(214 − 95) lbf over (1.700 − 1.250) in."""
    found = rewritten(tmp_path, SIX, ("heads.yaml", RATE, ""))
    rate = found.facts.get("spring_rate", INTAKE).si * INCH / LBF
    assert rate == pytest.approx(119 / 0.450)
    assert found.facts.get("spring_force_open", INTAKE).si / LBF == pytest.approx(95 + rate * 0.448)


def test_a_rate_off_another_springs_box_is_caught(tmp_path: Path) -> None:
    found = rewritten(tmp_path, SIX, ("heads.yaml", RATE, "    rate: 320 lbf/in\n"))
    assert (kinds(found, "spring-rate-agrees", "intake"), kinds(found, "spring-rate-agrees", "exhaust")) == (
        {"fail"},
        {"pass"},
    )


def test_without_rate_or_second_load_the_open_force_is_requested(tmp_path: Path) -> None:
    edits = [("heads.yaml", text, "") for text in (RATE, "    other_load: {force: 214 lbf, height: 1.250 in}\n")]
    found = rewritten(tmp_path, SIX, *edits)
    result = results(found, "open-force", "intake")[0]
    assert (result.kind, result.blocks, result.place.file) == ("open", False, "heads.yaml")
    assert "springs.intake.rate is missing in heads.yaml" in result.message


@pytest.mark.parametrize(("new", "kind"), [("105 lbf", "pass"), ("106 lbf", "fail"), ("100 lbf +/- 4 lbf", "pass")])
def test_more_than_a_tenth_of_the_load_lost_requires_new_springs(tmp_path: Path, new: str, kind: str) -> None:
    """US Department of the Army, TM 10-3930-644-14&P, §5: more than 10 % → replace."""
    found = rewritten(tmp_path, SIX, ("heads.yaml", "force_when_new: 98 lbf", f"force_when_new: {new}"))
    assert kinds(found, "spring-load-loss", "intake") == {kind}


def test_ends_decide_the_solid_height(tmp_path: Path) -> None:
    """0.177 in × 6.5 coils ground is 1.1505 in, as measured; squared and not ground it would be a coil more."""
    facts = as_it_is(SIX).facts
    assert facts.get("solid_height_misfit", INTAKE).si / INCH == pytest.approx(29.2 / 25.4 - 1.1505)
    found = rewritten(tmp_path, SIX, ("heads.yaml", "ends: squared ground", "ends: squared"))
    assert (kinds(found, "solid-height-agrees", "intake"), kinds(found, "solid-height-agrees", "exhaust")) == (
        {"fail"},
        {"pass"},
    )


def test_ends_left_out_are_requested(tmp_path: Path) -> None:
    found = rewritten(tmp_path, SIX, ("heads.yaml", "    ends: squared ground\n", ""))
    result = results(found, "solid-height-agrees", "intake")[0]
    assert (result.kind, "Enter the spring ends" in result.message) == ("open", True)


@pytest.mark.parametrize(("seat", "kind"), [("84 lbf", "fail"), ("95 lbf", "pass"), ("112 lbf", "fail")])
def test_seat_force_is_held_against_the_cams_card(tmp_path: Path, seat: str, kind: str) -> None:
    edits = [
        ("heads.yaml", SEAT, f"    seat_force: {seat}\n"),
        ("heads.yaml", "force_when_new: 98", "force_when_new: 112"),
    ]
    found = rewritten(tmp_path, SIX, *edits)
    assert (kinds(found, "seat-force", "intake"), kinds(found, "seat-force", "exhaust")) == ({kind}, {"pass"})


def test_too_stiff_a_spring_over_the_nose_is_reported(tmp_path: Path) -> None:
    found = rewritten(tmp_path, SIX, ("cam.yaml", "open_force: {at_most: 260 lbf}", "open_force: {at_most: 210 lbf}"))
    assert kinds(found, "open-force", "intake") == {"fail"}


def test_a_valve_with_its_own_installed_height_has_its_own_forces() -> None:
    """Cylinder 6 exhaust stands 0.4 mm taller: 58 N/mm × 0.4 mm less than its fellows' 530 N."""
    facts = as_it_is(EIGHT).facts
    assert facts.get("seat_force", Subject(6, "exhaust")).si == pytest.approx(530 - 58 * 0.4)
    assert facts.get("seat_force", Subject(5, "exhaust")).si == pytest.approx(530)
    assert facts.get("pushrod_load", Subject(6, "exhaust")).si == pytest.approx((506.8 + 58 * 12.75) * 1.7)


@pytest.mark.parametrize(("strength", "law"), [("60 ksi", "Euler"), ("30 ksi", "Johnson")])
def test_buckling_says_which_law_holds(tmp_path: Path, strength: str, law: str) -> None:
    """Slenderness 9.46 in over 0.0905 in, about 104: between the limits for 60 ksi (99) and 30 ksi (140)."""
    found = rewritten(tmp_path, SIX, ("pushrods.yaml", "yield_strength: 60 ksi", f"yield_strength: {strength}"))
    assert f"{law}, static load only" in results(found, "pushrod-buckling")[0].message


def test_wire_and_coils_do_not_stand_in_for_the_coil_bind_height(tmp_path: Path) -> None:
    """The starter says so: what they give is held against the height measured."""
    edit = ("heads.yaml", "    coil_bind_height: 29.2 mm\n", "")
    [result] = results(rewritten(tmp_path, SIX, edit), "coil-bind-clearance", "intake")
    assert (result.kind, result.blocks) == ("open", True)
    assert "springs.intake.coil_bind_height is missing in heads.yaml" in result.message
    starter = " ".join((ROOT / "buildcheck/cli/starter/heads.yaml").read_text(encoding="utf-8").split())
    assert "compares them with the # measured coil-bind height; they do not replace it" in starter
