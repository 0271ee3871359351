"""Trials that contradict each other, and marks that moved where none can."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from bench import PAD_TIP, PEDESTAL, judged, trials
from rewritten import Worded, judged_by

from buildcheck.app.build_check import CheckedBuild

MARK = "mark: {from: 0.140 in, to: 0.160 in}"
MOVED = "mark: {from: 0.150 in, to: 0.190 in}"


def result(found: CheckedBuild, rule: str) -> Worded:
    (one,) = [r for r in judged_by(found, rule) if r.subject.key == "1/intake"]
    return Worded(found, one)


def test_the_trial_that_does_not_fit_is_named_at_its_place(tmp_path: Path) -> None:
    rows = [f"length: {9.300 + 0.050 * i} in, shut_at: {a} in, open_at: 0.150 in" for i, a in
            enumerate((0.1277, 0.1750, 0.1445, 0.1530))]  # fmt: skip
    found = result(judged(tmp_path, trials(*rows)), "trial-consistency")
    assert (found.kind, found.level, found.blocks) == ("fail", "error", True)
    assert "trial 2 disagrees with the others: by trial 1 the distance from shut_at to open_at" in found.message
    assert "of trial 2 should be 0.0133 in; entered 0.0250 in" in found.message
    assert (found.place.file, found.place.line) == ("marks.yaml", 13)


def test_two_trials_that_disagree_are_both_named_with_what_each_says(tmp_path: Path) -> None:
    rows = trials(
        "length: 9.300 in, shut_at: 0.128 in, open_at: 0.150 in",
        "length: 9.400 in, shut_at: 0.174 in, open_at: 0.150 in",
    )
    found = result(judged(tmp_path, rows), "trial-consistency")
    assert "trials 1 and 2 disagree, and the readings do not show which is wrong: by trial" in found.message
    assert "; entered 0.0" in found.message


def test_trials_that_agree_pass(tmp_path: Path) -> None:
    rows = [
        "length: 9.300 in, shut_at: 0.128 in, open_at: 0.150 in",
        "length: 9.400 in, shut_at: 0.144 in, open_at: 0.150 in",
    ]
    found = result(judged(tmp_path, trials(*rows)), "trial-consistency")
    assert found.kind == "pass"


@pytest.mark.parametrize(
    ("row", "expected"),
    [
        ("length: 9.4 in, mark: {from: 0.150 in, to: 0.155 in}", "narrower than this rocker can make"),
        (f"length: 9.4 in, {MARK}, shut_at: 0.11 in, open_at: 0.15 in", "two contact lines disagree"),
    ],
)
def test_one_trial_can_contradict_its_rocker(tmp_path: Path, row: str, expected: str) -> None:
    assert expected in result(judged(tmp_path, trials(row)), "trial-consistency").message


def test_a_mark_that_moved_under_a_fixed_pivot_is_called_what_it_is(tmp_path: Path) -> None:
    rows = trials(f"length: 9.350 in, {MARK}", f"length: 9.400 in, {MOVED}")
    found = result(judged(tmp_path, rows, rockers=PEDESTAL), "fixed-mount-mark-moved")
    assert (found.kind, found.blocks) == ("fail", True)
    assert "moved between trials 1 and 2" in found.message
    assert "Never fit a longer pushrod" in found.message


@pytest.mark.parametrize(
    ("second", "kind"),
    [
        (f"length: 9.400 in, {MARK}", "pass"),
        (f"length: 9.3505 in, {MOVED}", "notApplicable"),
        (f"length: 9.400 in, shim: 0.030 in, {MOVED}", "notApplicable"),
        ("length: 9.400 in", "notApplicable"),
    ],
)
def test_what_does_not_count_as_moved(tmp_path: Path, second: str, kind: str) -> None:
    rows = trials(f"length: 9.350 in, {MARK}", second)
    assert result(judged(tmp_path, rows, rockers=PEDESTAL), "fixed-mount-mark-moved").kind == kind


def test_under_a_nut_a_mark_may_move(tmp_path: Path) -> None:
    rows = trials(f"length: 9.350 in, {MARK}", f"length: 9.400 in, {MOVED}")
    assert result(judged(tmp_path, rows), "fixed-mount-mark-moved").kind == "notApplicable"


@pytest.mark.parametrize(
    ("rockers", "expected"),
    [
        ({}, "this does not show whether the pushrod is short or long"),
        ({"rockers": PAD_TIP}, "the pushrod is too long"),
        ({"rockers": PEDESTAL}, "the pushrod does not move it"),
    ],
)
def test_what_the_marks_side_shows_depends_on_tip_and_mount(
    tmp_path: Path, rockers: dict[str, str], expected: str
) -> None:
    found = result(
        judged(tmp_path, trials("length: 9.4 in, mark: {from: 0.19 in, to: 0.22 in}"), **rockers), "mark-position-hint"
    )
    assert (found.kind, found.level, found.blocks) == ("fail", "note", False)
    assert "away from the pivot: " in found.message
    assert expected in found.message


def width(q: float) -> float:
    """A mark's, in, with the pivot so far off its best height: arm 1.550 in, lift 0.448 in."""
    return float(1.550 - (1.550**2 - (0.224 + abs(q)) ** 2) ** 0.5)


@pytest.mark.parametrize(("last", "kind"), [("", "open"), (", mark: {from: 0.150 in, to: %.4f in}", "pass")])
def test_two_heights_that_are_not_one_magnitude_are_not_reported_as_one(tmp_path: Path, last: str, kind: str) -> None:
    """Off by 0.080 in either way and then 0.0486 in higher: 0.031 in too low, or 0.129 in too high."""
    outcome = last % (0.150 + width(0.0314)) if last else ""
    first = f"length: 9.350 in, mark: {{from: 0.140 in, to: {0.140 + width(0.080):.4f} in}}"
    found = judged(tmp_path, trials(first, f"length: 9.429 in{outcome}"))
    assert result(found, "geometry-at-mid-lift").kind == kind
    assert ("fit two different pivot heights" in result(found, "geometry-at-mid-lift").message) == (kind == "open")


@pytest.mark.parametrize(
    ("first", "kind"), [("9.3500 in", "fail"), ("9.4500 in", "fail"), ("9.3985 in", "pass"), ("9.3804 in", "open")]
)
def test_zero_lash_found_again_under_a_fixed_rocker_is_found_at_the_same_length(
    tmp_path: Path, first: str, kind: str
) -> None:
    rows = trials(f"length: {first}", "length: 9.4200 in, shim: 0.020 in", f"length: 9.4000 in, {MARK}")
    found = result(judged(tmp_path, rows, rockers=PEDESTAL), "repeats-agree")
    assert (found.kind, found.blocks) == (kind, kind == "fail")
    assert re.search(r"\(trial 1 at 9\.\d{3} in, trial 3 at 9\.395 in\)", found.message)
    assert found.value is not None
    assert found.value.expanded / 0.0254 == pytest.approx(0.001 * 2**0.5)


def test_repeats_that_disagree_are_reported_with_what_to_do(tmp_path: Path) -> None:
    """Two millimetres apart: their mean is no length at all."""
    rows = trials("length: 228.40 mm", "length: 230.40 mm", "length: 229.00 mm")
    found = result(judged(tmp_path, rows, rockers=PEDESTAL), "repeats-agree")
    assert "0.0787 in ± 0.0014 in (trial 1 at 8.988 in, trial 2 at 9.066 in); maximum 0.0200 in" in found.message
    assert "find zero lash again on the base circle" in found.message
    assert {("marks.yaml", 12), ("marks.yaml", 13)} <= {(place.file, place.line) for place in found.places}


@pytest.mark.parametrize("row", ["", "length: 9.3500 in, shim: 0.020 in"])
def test_a_length_that_nothing_repeats_is_not_held_against_any(tmp_path: Path, row: str) -> None:
    rows = [*([row] if row else []), "length: 9.4000 in"]
    found = result(judged(tmp_path, trials(*rows), rockers=PEDESTAL), "repeats-agree")
    assert (found.kind, found.message) == ("notApplicable", "zero lash was found at one length only")


def test_under_a_nut_no_length_repeats_another(tmp_path: Path) -> None:
    found = result(judged(tmp_path, trials("length: 9.350 in", f"length: 9.400 in, {MARK}")), "repeats-agree")
    assert found.kind == "notApplicable"


INSIDE = "shut_at: 0.150 in, open_at: 0.147 in"


@pytest.mark.parametrize(
    ("mark", "lines", "expected"),
    [
        ("from: 0.140 in, to: 0.160 in", INSIDE, "both inside"),
        ("from: 0.1509 in, to: 0.170 in", INSIDE, "both inside"),  # the line is out by less than both may be misread
        ("from: 0.240 in, to: 0.260 in", INSIDE, "open_at 0.1470 in, mark 0.2400 in to 0.2600 in"),
        ("from: 0.040 in, to: 0.060 in", INSIDE, "shut_at 0.1500 in, mark 0.0400 in to 0.0600 in"),
        ("from: 0.140 in, to: 0.160 in", "shut_at: 0.050 in, open_at: 0.147 in", "shut_at 0.0500 in"),
        ("from: 0.140 in, to: 0.160 in", "shut_at: 0.150 in, open_at: 0.247 in", "open_at 0.2470 in"),
    ],
)
def test_contact_lines_lie_inside_their_own_mark(tmp_path: Path, mark: str, lines: str, expected: str) -> None:
    rows = trials(f"length: 9.350 in, {MOVED}, {INSIDE}", f"length: 9.400 in, mark: {{{mark}}}, {lines}")
    found = result(judged(tmp_path, rows), "lines-inside-mark")
    assert (found.kind, found.blocks) == ("pass" if expected == "both inside" else "fail", False)
    assert expected in found.message
    assert (found.place.file, found.place.line) == ("marks.yaml", 13)
    assert found.level == ("warning" if found.kind == "fail" else "none")


@pytest.mark.parametrize(
    "last",
    [
        "length: 9.4 in, mark: {from: 0.240 in, to: 0.260 in}",
        f"length: 9.4 in, {INSIDE}, mark: {{from: 0.240 in, to: 0.260 in}}, lifter: hydraulic",
        f"length: 9.4 in, shut_at: 0.150 in, {MARK}",
    ],
    ids=["no lines", "a lifter that gives way", "one line"],
)
def test_lines_are_held_against_their_own_mark_alone(tmp_path: Path, last: str) -> None:
    """Never against an earlier one, nor against one that a lifter cut short."""
    found = result(judged(tmp_path, trials(f"length: 9.35 in, {MARK}, {INSIDE}", last)), "lines-inside-mark")
    assert found.kind in ("notApplicable", "open")
    assert found.value is None
