"""What is read at the bench, word for word: a wrong way, side or sign here sends somebody for the wrong pushrod."""

from __future__ import annotations

import pytest

from buildcheck.advice.next_step import Step
from buildcheck.advice.valve_advice import Advice
from buildcheck.core.subject import Subject
from buildcheck.core.value import Value
from buildcheck.output import advice_wording as bench
from buildcheck.record import replace

IN = 0.0254


def value(inches: float, expanded: float = 0.0, sign_known: bool = True) -> Value:
    """A length with its expanded uncertainty, in."""
    return Value(inches * IN, "length", {"gauge": expanded / 2 * IN} if expanded else {}, sign_known=sign_known)


BARE = Advice(
    subject=Subject(1, "intake"), place="marks.yaml:1", roller=True, mount="pedestal", free=True, offset=None,
    width=None, least=None, margin=None, height_error=None, basis="", reason="", sure=None, off_centre=None, moved="",
    marked=False,     step=Step("none"), length_asked=None, preload=None, turns=None,
)  # fmt: skip


def worded(**known: object) -> dict[str, str]:
    return dict(bench.lines(replace(BARE, **known), "inch"))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("known", "text"),
    [
        ({}, "no mark in the last trial"),
        ({"width": value(0.030, 0.004)}, "0.0300 in ± 0.0040 in wide"),
        ({"width": value(0.030), "least": value(0.0255)}, "0.0300 in wide (narrowest possible 0.0255 in)"),
        ({"least": value(0.0255)}, "no mark in the last trial"),
        ({"offset": value(0.005, 0.003)}, "centre 0.0050 in ± 0.0030 in away from the pivot"),
        ({"offset": value(-0.005, 0.003)}, "centre 0.0050 in ± 0.0030 in towards the pivot"),
        ({"offset": value(0.0)}, "centre in the middle"),
        ({"offset": value(0.00004, 0.0021)}, "centre in the middle"),
        ({"offset": value(-0.00006, 0.0021)}, "centre 0.0001 in ± 0.0021 in towards the pivot"),
        ({"margin": value(0.1)}, "0.1000 in clear of the edge"),
        ({"margin": value(0.0)}, "off the valve tip edge"),
        ({"margin": value(-0.1)}, "off the valve tip edge"),
        (
            {"width": value(0.03), "moved": "it moved", "offset": value(0.1), "margin": value(0.02)},
            "0.0300 in wide, it moved, centre 0.1000 in away from the pivot, 0.0200 in clear of the edge",
        ),
    ],
)  # fmt: skip
def test_the_mark(known: dict[str, Value], text: str) -> None:
    assert worded(**known)["mark"] == text


@pytest.mark.parametrize(
    ("error", "text"),
    [
        (value(0.060, 0.012), "0.0600 in ± 0.0120 in too low (contact lines)"),
        (value(-0.060, 0.012), "0.0600 in ± 0.0120 in too high (contact lines)"),
        (value(0.060, 0.012, sign_known=False), "0.0600 in ± 0.0120 in too low or too high (contact lines)"),
        (value(0.010, 0.012), "at mid-lift to within 0.0220 in (contact lines)"),
        (value(-0.010, 0.012), "at mid-lift to within 0.0220 in (contact lines)"),
        (value(0.015625, 0.015625), "at mid-lift to within 0.0312 in (contact lines)"),
    ],
)
def test_the_pivot(error: Value, text: str) -> None:
    assert worded(height_error=error, basis="contact lines")["pivot"] == text


def test_a_pivot_that_cannot_be_determined_says_why_or_nothing() -> None:
    assert worded(reason="no mark was taken")["pivot"] == "no mark was taken"
    assert "pivot" not in worded()


@pytest.mark.parametrize(
    ("step", "text"),
    [
        (Step("change length", length=value(0.065, 0.02)), "Use a pushrod 0.0650 in ± 0.0200 in longer."),
        (Step("change length", length=value(-0.065, 0.02)), "Use a pushrod 0.0650 in ± 0.0200 in shorter."),
        (
            Step("change height", height=value(0.040, 0.012), length=value(0.065, 0.02)),
            "Fit a shim of 0.0400 in (calculated 0.0400 in ± 0.0120 in) under the pedestal. "
            "The pushrod is then 0.0650 in longer.",
        ),
        (
            Step("change height", height=value(-0.040, 0.012), length=value(-0.065)),
            "Remove 0.0400 in ± 0.0120 in from the pedestal (the pushrod is then 0.0650 in shorter)",
        ),
        (
            Step("change height", height=value(-0.040), length=value(-0.065), length_with_cap=value(-0.025)),
            "Remove 0.0400 in from the pedestal (the pushrod is then 0.0650 in shorter) "
            "or fit a lash cap of that thickness (pushrod 0.0250 in shorter).",
        ),
        (
            Step("change height", why="it ran off", height=value(-0.040), length=value(-0.065)),
            "First step: remove about 0.0400 in from the pedestal. The pushrod then changes by about 0.0650 in.",
        ),
        (
            Step("move the centre", why="no shim centres this mark"),
            "No shim centres this mark. "
            "Fit a rocker with another pivot-to-tip length, or correct the pedestal position.",
        ),
        (Step("read contacts", height=value(0.040), length=value(0.065)), ""),
        (Step("change height"), ""),
        (Step("none"), ""),
    ],
)
def test_the_cure(step: Step, text: str) -> None:
    assert worded(step=step).get("cure", "") == text


@pytest.mark.parametrize(
    ("mount", "place"),
    [("pedestal", "pedestal position"), ("shaft", "stand position"), ("stud", "stud position or angle")],
)
def test_a_mark_off_centre_along_the_arm_is_cured_by_arm_or_mount_alone(mount: str, place: str) -> None:
    found = worded(mount=mount, step=Step("move the centre", why="no shim centres this mark"))["cure"]
    assert found.endswith(f". Fit a rocker with another pivot-to-tip length, or correct the {place}.")


@pytest.mark.parametrize(("mount", "under"), [("pedestal", "pedestal"), ("shaft", "stand"), ("stud", "stud")])
def test_a_shim_goes_under_what_carries_the_rocker(mount: str, under: str) -> None:
    for height, expected in ((0.040, f"under the {under}."), (-0.040, f"from the {under} (")):
        step = Step("change height", height=value(height), length=value(height))
        assert expected in worded(mount=mount, free=False, step=step)["cure"]


def test_the_cure_of_a_centre_is_reported_behind_the_pushrods() -> None:
    step = Step("change length", length=value(0.065))
    found = worded(mount="stud", step=step, off_centre=value(-0.060, 0.003))["cure"]
    assert found == (
        "Use a pushrod 0.0650 in longer. At its narrowest the mark would still be 0.0600 in ± 0.0030 in towards the "
        "pivot; no pushrod length corrects that. Fit a rocker with another pivot-to-tip length, or correct the stud "
        "position "
        "or angle."
    )


TURNED = {"reading": 9.465 * IN, "turns": 1.82, "turns_in_all": 10.22}


@pytest.mark.parametrize(
    ("free", "step", "text"),
    [
        (True, Step("none"), "The mark is good. No further trial is needed."),
        (
            True, Step("change length", length=value(0.065), **TURNED),
            "Turn the checker 1.82 turns out, to 10.22 (9.465 in over the gauge), set zero lash and take a new mark.",
        ),
        (
            True, Step("change length", why="the checking pushrod does not reach that "
                "length", reading=9.4 * IN, turns=-1.5,
                       turns_in_all=-0.4),
            "Turn the checker 1.50 turns in, to -0.40 (9.400 in over the gauge), set zero lash and take a new mark. "
            "(The checking pushrod does not reach that length.)",
        ),
        (
            True, Step("change length", reading=9.465 * IN),
            "Set the checking pushrod to 9.465 in, set zero lash and take a new mark.",
        ),
        (True, Step("change length"), "Change the checking pushrod, set zero lash and take a new mark."),
        (
            False, Step("change height"),
            "Fit it, tighten to the maker's torque, find zero lash again and take a new mark. Do not order yet.",
        ),
        (
            False, Step("change height", height=value(0.030), may_stay=True),
            "The pivot height is acceptable; this brings it to mid-lift. Fit it before you order or not at all: it "
            "changes the pushrod length.",
        ),
        (
            False, Step("change height", why="the mark ran off the tip, so this is only a first step"),
            "Fit it, tighten to the maker's torque, find zero lash again and take a new mark. Do not order yet. "
            "(The mark ran off the tip, so this is only a first step.)",
        ),
        (
            False, Step("move the centre", why="no shim centres this mark", may_stay=True),
            "The mark is acceptable. To centre it, leave the pushrod as it is, correct the rocker or its "
            "position and take a new mark.",
        ),
        (True, Step("read contacts"), "Read both contact lines."),
        (
            False, Step("read contacts", height=value(0.030), length=value(0.05)),
            "Read both contact lines; or take one more mark with 0.0300 in more shim.",
        ),
        (
            True, Step("read contacts", height=value(0.030), length=value(0.05), turns=1.4, turns_in_all=9.4),
            "Read both contact lines; or take one more mark 0.0500 in longer (1.40 turns out, to 9.40).",
        ),
        (
            True, Step("read contacts", height=value(0.030), length=value(0.05)),
            "Read both contact lines; or take one more mark 0.0500 in longer.",
        ),
        (
            True, Step("repeat", why="trial 2 disagrees with the others", trial=2),
            "Repeat trial 2: trial 2 disagrees with the others (pushrod not seated, or lifter off the base circle).",
        ),
        (True, Step("finer gauge"), "Another trial does not help. Read the tip with a finer gauge."),
        (
            True, Step("finer gauge", good_to=0.002 * IN),
            "Another trial does not help. Read the tip with a finer gauge, good to 0.0020 in.",
        ),
        (True, Step("move the centre"), "Leave the pushrod as it is, correct the rocker or its "
            "position and take a new mark."),
        (True, Step("mark again", why="it was read off the base circle"), "Take a new mark: it was read off the base "
            "circle."),
        (True, Step("clear the retainer", why="the rocker touches"), "Take a new mark: the rocker touches."),
    ],
)  # fmt: skip
def test_what_to_do_next(free: bool, step: Step, text: str) -> None:
    assert worded(free=free, step=step, marked=True)["next"] == text


@pytest.mark.parametrize(
    ("sure", "error", "text"),
    [
        (None, value(0.01), None),
        (0.0, value(0.01), None),
        (0.022 * IN, value(0.01), "length ± 0.0220 in"),
        (0.022 * IN, None, "length ± 0.0220 in"),
        (0.122 * IN, value(0.06, 0.01, sign_known=False), "length ± 0.1220 in (sign unknown)"),
    ],
)
def test_how_sure_the_length_is(sure: float | None, error: Value | None, text: str | None) -> None:
    assert worded(sure=sure, height_error=error).get("sure") == text


@pytest.mark.parametrize(
    ("action", "told_of"),
    [("none", True), ("change length", True), ("finer gauge", True), ("change height", False), ("read contacts", False),
     ("repeat", False)],
)  # fmt: skip
def test_a_length_about_to_change_is_not_reported(action: str, told_of: bool) -> None:
    found = worded(step=Step(action), length_asked=value(9.46, 0.02))  # type: ignore[arg-type]
    text = "required length 9.460 in ± 0.0200 in, preload or lash included"
    assert found.get("length") == (text if told_of else None)


@pytest.mark.parametrize(
    ("turns", "preload"), [(0.5, value(0.0339)), (None, value(0.0339)), (0.5, None), (0.0, value(0.0))]
)
def test_the_adjuster_takes_both_turns_and_preload(turns: float | None, preload: Value | None) -> None:
    found = worded(turns=turns, preload=preload).get("adjuster")
    both = turns is not None and preload is not None
    assert (found is not None) == both
    assert not both or found == f"{turns:.2f} turns past zero lash for {'0.0339' if turns else '0.0000'} in of preload"


WIDTH, BANDLESS = value(0.03), value(0.03)._replace(remark="contact band not subtracted")


@pytest.mark.parametrize(
    ("known", "notes"),
    [
        ({}, []),
        ({"free": False}, [bench.NO_ROD_MOVES]),
        ({"free": False, "moved": "it moved"}, [bench.NO_ROD_MOVES, bench.MOVED]),
        ({"step": Step("change height", height=value(0.03))}, [bench.SHIM_WRITTEN]),
        ({"step": Step("change height", height=value(0.0))}, [bench.SHIM_WRITTEN]),
        ({"step": Step("change height", height=value(-0.03))}, [bench.TRIALS_GONE]),
        ({"step": Step("read contacts")}, [bench.HOW_TO_READ]),
        ({"step": Step("read contacts"), "free": False}, [bench.NO_ROD_MOVES, bench.NEVER_LONGER, bench.HOW_TO_READ]),
        ({"basis": "width alone", "width": BANDLESS}, []),
        ({"basis": "width alone", "width": BANDLESS, "step": Step("repeat")}, [bench.WEAK, bench.BAND]),
        ({"basis": "width alone", "width": WIDTH, "step": Step("repeat")}, [bench.WEAK]),
        ({"basis": "contact lines", "width": BANDLESS, "step": Step("repeat")}, []),
    ],
)
def test_notes_that_hold_for_many_valves(known: dict[str, object], notes: list[str]) -> None:
    assert list(bench.notes(replace(BARE, **known))) == notes  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("known", "needed"),
    [({}, False), ({"moved": "it moved"}, True), ({"off_centre": value(0.06)}, True), ({"step": Step("repeat")}, True)],
)
def test_what_needs_work(known: dict[str, object], needed: bool) -> None:
    assert replace(BARE, **known).needs_work is needed  # type: ignore[arg-type]


@pytest.mark.parametrize("turns", [0.4, 0.99])
def test_less_than_a_turn_of_the_checker_has_its_way_too(turns: float) -> None:
    step = Step("change length", length=value(0.014), reading=9.4 * IN, turns=turns, turns_in_all=8.0)
    assert f"{turns:.2f} turns out, to" in worded(step=step)["next"]
    back = replace(step, length=value(-0.014), turns=-turns)
    assert f"{turns:.2f} turns in, to" in worded(step=back)["next"]
