"""What a value says beside its number: sides, hints, crowns, assumptions. A builder acts on these words."""

from __future__ import annotations

from pathlib import Path

import pytest
from altered import EIGHT, FLAT, PAD_TIP, SIX, facts
from rewritten import Edit

from buildcheck.core.subject import Subject
from buildcheck.core.value import NotApplicable, Undecided

ONE, IN = Subject(1, "intake"), 0.0254
MARK = "mark: {from: 0.145 in, to: 0.172 in}"
ROLLER_HINT = "on a roller tip this does not show whether the pushrod is short or long"


def mark(near: str, far: str) -> Edit:
    return ("marks.yaml", MARK, f"mark: {{from: {near} in, to: {far} in}}")


@pytest.mark.parametrize(
    ("near", "far", "side"),
    [
        ("0.1450", "0.1720", "away from the pivot"),
        ("0.1400", "0.1600", "towards the pivot"),
        ("0.1450", "0.1650", ""),
        ("0.1450", "0.1651", "away from the pivot"),
        ("0.1449", "0.1650", "towards the pivot"),
    ],
)
def test_a_mark_shows_its_side(tmp_path: Path, near: str, far: str, side: str) -> None:
    found = facts(tmp_path, SIX, mark(near, far)).get("mark_offset", ONE)
    assert (found.remark, found.si / IN) == (side, pytest.approx((float(near) + float(far) - 0.310) / 2, abs=1e-9))


@pytest.mark.parametrize(
    ("folder", "edit", "expected"),
    [
        (SIX, mark("0.145", "0.172"), f"away from the pivot: {ROLLER_HINT}"),
        (SIX, mark("0.135", "0.162"), f"towards the pivot: {ROLLER_HINT}"),
        (PAD_TIP, ("marks.yaml", "from: 1.40 mm, to: 5.75 mm", "from: 1.40 mm, to: 5.85 mm"),
         "away from the pivot: the pushrod is too long"),
        (PAD_TIP, ("marks.yaml", "from: 1.40 mm, to: 5.75 mm", "from: 1.30 mm, to: 5.75 mm"),
         "towards the pivot: the pushrod is too short"),
        (EIGHT, ("marks.yaml", "from: 3.20 mm, to: 4.05 mm", "from: 3.20 mm, to: 4.15 mm"),
         "away from the pivot: on this mount the pushrod does not move it"),
        (SIX, mark("0.145", "0.165"), ""),
    ],
)  # fmt: skip
def test_what_a_side_shows_depends_on_tip_and_mount(tmp_path: Path, folder: str, edit: Edit, expected: str) -> None:
    assert facts(tmp_path, folder, edit).get("mark_position", ONE).remark == expected


@pytest.mark.parametrize(
    ("volume", "expected"),
    [("12 cc", "piston with a dish of 12"), ("-12 cc", "piston with a dome of 12"), ("0 cc", "flat piston")],
)
def test_a_pistons_crown_is_reported_in_words(tmp_path: Path, volume: str, expected: str) -> None:
    """Boxes often print the opposite sign."""
    edit = ("block.yaml", "piston_volume: 12 cc", f"piston_volume: {volume}")
    assert facts(tmp_path, SIX, edit).get("compression_ratio").remark.startswith(expected)


@pytest.mark.parametrize(
    ("gap", "touches", "expected"),
    [("0.001 mm", 0, "clears"), ("0 mm", 1, "touches"), ("-0.1 mm", 1, "touches")],
)
def test_a_retainer_is_touched_from_nothing_down(tmp_path: Path, gap: str, touches: int, expected: str) -> None:
    edit = ("clearances.yaml", "rocker_to_retainer: 1.4 mm", f"rocker_to_retainer: {gap}")
    found = facts(tmp_path, SIX, edit).get("retainer_contact", Subject(None, "intake"))
    assert (found.si, found.remark) == (touches, f"the rocker {expected} the retainer")


@pytest.mark.parametrize(
    ("folder", "springs", "lifter", "count", "expected"),
    [
        (SIX, "checking", "solid", 2, "checking springs and a solid checking lifter"),
        (SIX, "running", "solid", 1, "a solid checking lifter"),
        (SIX, "running", "locked", 1, "a lifter made solid for checking"),
        (SIX, "checking", "hydraulic", 1, "checking springs"),
        (SIX, "running", "hydraulic", 0, "yes"),
        (FLAT, "checking", "solid", 1, "checking springs"),
        (FLAT, "running", "solid", 0, "yes"),
        (FLAT, "running", "hydraulic", 1, "a hydraulic lifter"),
        (
            FLAT,
            "checking",
            "locked",
            2,
            "checking springs and a lifter made solid for checking",
        ),
    ],
)
def test_stand_ins_are_those_that_will_not_run(
    tmp_path: Path, folder: str, springs: str, lifter: str, count: int, expected: str
) -> None:
    edits = [("marks.yaml", "springs: checking", f"springs: {springs}")]
    edits += [("marks.yaml", "lifter: solid", f"lifter: {lifter}")]
    found = facts(tmp_path, folder, *edits).get("stand_ins", ONE)
    assert (found.si, found.remark.removeprefix("last trial made with ").partition(", not")[0]) == (count, expected)


@pytest.mark.parametrize(
    ("edits", "expected", "band"),
    [
        ((), "", 0.012),
        ((("marks.yaml", "contact_band: 0.012 in ", "# "),), "contact band not subtracted", 0.0),
    ],
)
def test_a_mark_with_their_ink_was_not_measured_says_so(
    tmp_path: Path, edits: tuple[Edit, ...], expected: str, band: float
) -> None:
    found = facts(tmp_path, SIX, *edits).get("mark_width", Subject(2, "intake"))
    assert (found.remark, found.si / IN) == (expected, pytest.approx(0.165 - 0.138 - band))


TEMPERATURES = ("build.yaml", "temperatures: {assembly: 66 degF, running: 190 degF}\n", "")
STEM = ("heads.yaml", "    stem_length: 4.920 in\n", "")


def test_a_warm_engine_says_what_it_assumes(tmp_path: Path) -> None:
    found = facts(tmp_path, SIX, TEMPERATURES, STEM)
    assert found.get("gap_growth", Subject(None, "intake")).remark == (
        "assembly at 68 degF (20 degC) assumed; running at 200 degF (93 degC) assumed; "
        "the valve tip is assumed to rise with the rocker pivot"
    )
    assert facts(tmp_path / "all", SIX).get("gap_growth", Subject(None, "intake")).remark == (
        "a stem of steel assumed to expand by (12 ± 0.7)e-6 per K"
    )


def test_assumed_temperatures_are_those_that_are_said(tmp_path: Path) -> None:
    written = ("build.yaml", TEMPERATURES[1], "temperatures: {assembly: 20 degC, running: 200 degF}\n")
    for valve in ("intake", "exhaust"):
        assumed, result = (
            facts(tmp_path / f"{n}{valve}", SIX, edit).get("gap_growth", Subject(None, valve)).si
            for n, edit in enumerate((TEMPERATURES, written))
        )
        assert assumed == pytest.approx(result, rel=1e-5)


def test_an_exhaust_stem_is_never_assumed(tmp_path: Path) -> None:
    with pytest.raises(Undecided, match=r"valves\.exhaust\.stem_length is missing"):
        facts(tmp_path, SIX, ("heads.yaml", "    stem_length: 4.905 in\n", "")).get(
            "gap_growth", Subject(None, "exhaust")
        )


@pytest.mark.parametrize("name", ["offset_at_narrowest", "mark_width_least", "trials_in_doubt"])
def test_a_plain_tip_has_no_narrowest_mark(tmp_path: Path, name: str) -> None:
    with pytest.raises(NotApplicable):
        facts(tmp_path, PAD_TIP).get(name, ONE)


UNTOLD = "marks.yaml does not name the lifter of the trials: the running lifter is assumed"


@pytest.mark.parametrize("name", ["length_asked", "length_misfit"])
def test_a_lifter_that_is_not_written_is_taken_as_the_one_to_be_run_and_said(tmp_path: Path, name: str) -> None:
    nothing = [("marks.yaml", "lifter: solid\n", ""), ("marks.yaml", "lifter_cup_height: 1.905 in\n", "")]
    assert facts(tmp_path, SIX, *nothing).get(name, ONE).remark == UNTOLD
    written = facts(tmp_path / "running", SIX, ("marks.yaml", "lifter: solid", "lifter: locked"), nothing[1])
    assert written.get(name, ONE).remark == ""
    assert written.get("length_asked", ONE).si == facts(tmp_path / "again", SIX, *nothing).get("length_asked", ONE).si


def test_under_a_fixed_pivot_the_preload_says_so_too(tmp_path: Path) -> None:
    found = facts(tmp_path, EIGHT, ("marks.yaml", "lifter: locked", "#"))
    assert {found.get(name, ONE).remark for name in ("preload", "zero_lash_length_to_run", "length_asked")} == {UNTOLD}
    assert found.get("preload", ONE).si == facts(tmp_path / "told", EIGHT).get("preload", ONE).si


@pytest.mark.parametrize("lifter", ["hydraulic", "locked"])
def test_a_stand_in_for_a_solid_lifter_needs_both_cup_heights(tmp_path: Path, lifter: str) -> None:
    measured_on = ("marks.yaml", "lifter: solid", f"lifter: {lifter}")
    with pytest.raises(Undecided, match=r"a checking lifter was used: enter its lifter_cup_height"):
        facts(tmp_path, FLAT, measured_on).get("length_asked", ONE)
    heights = [("marks.yaml", "springs: checking", "springs: checking\nlifter_cup_height: 1.900 in")]
    heights += [("cam.yaml", "{type: solid flat}", "{type: solid flat, cup_height: 1.890 in}")]
    result = facts(tmp_path / "told", FLAT, measured_on, *heights).get("length_asked", ONE)
    assert result.si / IN == pytest.approx(facts(tmp_path / "own", FLAT).get("length_asked", ONE).si / IN + 0.010)


def test_one_trial_on_a_stand_in_of_unknown_height_does_without_its_length(tmp_path: Path) -> None:
    """Two trials of 2/exhaust are repeats; on a hydraulic lifter the first shows nothing of the second's length."""
    edit = ("marks.yaml", "{length: 10.598 in}", "{length: 10.500 in, lifter: hydraulic}")
    found = facts(tmp_path, FLAT, edit).get("zero_lash_length", Subject(2, "exhaust"))
    assert found.si / IN == pytest.approx(10.600)
