"""The next step worked out by hand: when a mark is good enough, how far to go, and with what on a fixed mount."""

from __future__ import annotations

from math import cos, radians, sqrt
from pathlib import Path

import pytest
from altered import EIGHT, PAD_TIP, SIX, facts
from plain_tip import rise_to_middle
from rewritten import Edit

from buildcheck.advice.next_step import Step
from buildcheck.advice.valve_advice import advise, unmeasured
from buildcheck.core.subject import Subject

ONE, MM, IN = Subject(1, "intake"), 0.001, 0.0254
LAST = "mark: {from: 1.40 mm, to: 5.75 mm}"
BAND, LIFT, TIP, RATIO = 0.60, 6.50 * 1.5, 7.20, 1.5
FACTOR = cos(radians(5)) + 1 / RATIO
NEAR = 0.75
"""How far a mark's centre may be off, mm; common practice, no published source."""


def pad_tip(tmp_path: Path, near: float, far: float, *more: Edit) -> Step:
    mark = ("marks.yaml", LAST, f"mark: {{from: {near:.4f} mm, to: {far:.4f} mm}}")
    return advise(facts(tmp_path, PAD_TIP, mark, *more), ONE).step


@pytest.mark.parametrize("side", [1, -1])
@pytest.mark.parametrize(("share", "action"), [(0.99, "none"), (1.01, "change length")])
def test_a_plain_tips_mark_is_good_when_its_doubt_keeps_the_limit_too(
    tmp_path: Path, side: int, share: float, action: str
) -> None:
    off = side * share * (NEAR - 0.10 / sqrt(2))
    assert pad_tip(tmp_path, 3.6 + off - 2.2, 3.6 + off + 2.2).action == action


@pytest.mark.parametrize("off", [0.9, -0.9])
def test_a_plain_tip_is_brought_to_the_middle(tmp_path: Path, off: float) -> None:
    step = pad_tip(tmp_path, 3.6 + off - 2.2, 3.6 + off + 2.2)
    rise = rise_to_middle(36.0, LIFT, 4.4 - BAND, off)
    assert step.height is not None
    assert step.length is not None
    assert step.height.si / MM == pytest.approx(rise)
    assert step.length.si / MM == pytest.approx(rise * FACTOR)
    assert step.reading is not None
    assert step.reading / MM == pytest.approx(199.70 + rise * FACTOR)
    assert step.turns == pytest.approx(rise * FACTOR)  # M6x1
    assert step.turns_in_all == pytest.approx(199.70 + rise * FACTOR - 193.00)


@pytest.mark.parametrize(
    ("near", "far", "off", "why"),
    [
        (0.0, 4.0, -1.6, "the checking pushrod does not reach that length"),
        (3.2, 7.2, 1.6, "the mark ran off the tip, so this is only a first step"),
    ],
)
def test_a_mark_that_ran_off_gives_a_first_step_from_what_is_left(
    tmp_path: Path, near: float, far: float, off: float, why: str
) -> None:
    step = pad_tip(tmp_path, near, far)
    assert step.why == why
    assert step.height is not None
    assert step.height.si / MM == pytest.approx(rise_to_middle(36.0, LIFT, 4.0, off))


@pytest.mark.parametrize(("off", "good_to"), [(0.1, NEAR - 0.1), (-0.2, NEAR - 0.2), (0.0, NEAR)])
def test_a_gauge_that_cannot_tell_the_side_must_be_finer(tmp_path: Path, off: float, good_to: float) -> None:
    coarse = ("marks.yaml", "resolution: 0.05 mm, uncertainty: 0.10 mm", "resolution: 0.05 mm, uncertainty: 1.20 mm")
    step = pad_tip(tmp_path, 1.4 + off, 5.8 + off, coarse)
    assert (step.action, step.height) == ("finer gauge", None)
    assert step.good_to is not None
    assert step.good_to / MM == pytest.approx(good_to)


def lines(q: float) -> Edit:
    """Cylinder 3's intake with its pivot too low by so much, mm, as exact readings of mark and lines."""
    arm, lift, tip, band = 39.0, 7.40 * 1.7, 7.0, 0.30
    shut, opened = (sqrt(arm**2 - (lift / 2 + sign * q) ** 2) for sign in (1, -1))
    near, far = min(shut, opened), arm if abs(q) < lift / 2 else max(shut, opened)
    move = tip / 2 - (near + far) / 2
    old = "mark: {from: 3.25 mm, to: 4.10 mm}, shut_at: 3.40 mm, open_at: 3.60 mm"
    mark = f"mark: {{from: {near + move - band / 2:.5f} mm, to: {far + move + band / 2:.5f} mm}}"
    return ("marks.yaml", old, f"{mark}, shut_at: {shut + move:.5f} mm, open_at: {opened + move:.5f} mm")


@pytest.mark.parametrize("q", [2.5, -2.5])
def test_a_fixed_pivot_gets_its_height_and_never_a_trial_of_another_pushrod(tmp_path: Path, q: float) -> None:
    step = advise(facts(tmp_path, EIGHT, lines(q)), Subject(3, "intake")).step
    assert (step.action, step.reading, step.turns) == ("change height", None, None)
    assert step.height is not None
    assert step.length is not None
    assert step.height.si / MM == pytest.approx(q, abs=0.02)
    assert step.length.si == pytest.approx(step.height.si * (cos(radians(6)) + 1 / 1.7))
    assert (step.length_with_cap is None) == (q > 0)
    if step.length_with_cap is not None:
        assert step.length_with_cap.si == pytest.approx(step.height.si / 1.7)


@pytest.mark.parametrize(("q", "action"), [(0.9, "none"), (-0.9, "none"), (1.6, "change height")])
def test_a_height_error_that_clears_its_limit_is_left_alone(tmp_path: Path, q: float, action: str) -> None:
    """0.050 in (1.27 mm) may it be; the readings leave it good to a quarter of a millimetre."""
    assert advise(facts(tmp_path, EIGHT, lines(q)), Subject(3, "intake")).step.action == action


@pytest.mark.parametrize(
    ("folder", "missing"),
    [(SIX, ["2/exhaust", "4/intake", "4/exhaust", "5/intake"]), (PAD_TIP, ["3/intake", "3/exhaust"])],
)
def test_valves_that_no_trial_speaks_of(tmp_path: Path, folder: str, missing: list[str]) -> None:
    found = facts(tmp_path, folder)
    assert [subject.key for subject in unmeasured(found)][: len(missing)] == missing


def test_a_mark_that_moved_under_a_fixed_pivot_is_reported_and_needs_work(tmp_path: Path) -> None:
    shorter = "      - {length: 191.30 mm, mark: {from: 3.30 mm, to: 4.10 mm}}\n"
    found = facts(tmp_path, EIGHT, ("marks.yaml", "      - {length: 191.67 mm}\n", shorter))
    result = advise(found, Subject(1, "exhaust"))
    assert (result.moved, result.needs_work) == ("the mark moved between trials 1 and 2", True)
    assert advise(found, Subject(5, "exhaust")).moved == ""
