"""All ways to find zero lash, through the files: bracket, known pushrod with feeler or bolt turns, several checkers."""

from __future__ import annotations

from pathlib import Path

import pytest
from altered import EIGHT, SIX, altered
from rewritten import Edit

from buildcheck.build.trials import trials
from buildcheck.core.subject import Subject
from buildcheck.core.value import Contradiction, Undecided, Value

INCH, MM = 0.0254, 0.001
INTAKE = Subject(2, "intake")
READ_6 = "{length: 9.4250 in, mark: {from: 0.138 in, to: 0.165 in}, shut_at: 0.144 in, open_at: 0.143 in}"
READ_8 = "trials: [{length: 190.74 mm}]"
NO_FEEL = ("marks.yaml", "zero_lash_repeatability: 0.004 in", "zero_lash_repeatability: 0 in")
CHECKER = "length_at_zero_turns: 9.100 in +/- 0.002 in"
EXACT_CHECKER = ("pushrods.yaml", CHECKER, "length_at_zero_turns: 9.100 in")


def six(*rows: str) -> Edit:
    """Trials of cylinder 2 intake of the demo, on studs."""
    return "marks.yaml", f"- {READ_6}", "\n      ".join(f"- {row}" for row in rows)


def eight(*rows: str) -> Edit:
    """Trials of cylinder 2 intake of the vee eight, on pedestals."""
    return "marks.yaml", READ_8, f"trials: [{', '.join(rows)}]"


def length(tmp_path: Path, folder: str, *edits: Edit) -> Value:
    """The zero-lash length of the last trial."""
    found = altered(tmp_path, folder, *edits)
    assert found.problems == ()
    last = trials(found.facts, INTAKE)[-1]
    if last.length is None:
        raise last.length_reason.copy_without_traceback()
    return last.length


@pytest.mark.parametrize(("tight", "expanded"), [(10, 0.0206), (9.5, 0.0103), (9.25, 0.0052)])
def test_a_bracket_is_the_middle_with_the_uncertainty_of_a_rectangle(
    tmp_path: Path, tight: float, expanded: float
) -> None:
    both = six("{turns: 9, feel: slack}", f"{{turns: {tight}, feel: tight}}")
    found = length(tmp_path, SIX, NO_FEEL, EXACT_CHECKER, both)
    middle = 9.100 + (9 + tight) / 2 / 28
    assert found.si / INCH == pytest.approx(middle, abs=0.005)  # the checker's oil hole takes 2 thousandths
    assert found.expanded / INCH == pytest.approx(expanded, abs=0.0001)


def test_the_error_of_one_checker_is_common_to_both_ends_of_a_bracket(tmp_path: Path) -> None:
    both = six("{turns: 9, feel: slack}", "{turns: 9.25, feel: tight}")
    wide = ("pushrods.yaml", CHECKER, "length_at_zero_turns: 9.100 in +/- 0.020 in")
    assert length(tmp_path, SIX, NO_FEEL, wide, both).expanded / INCH == pytest.approx(0.0207, abs=0.0002)


def test_two_gauges_share_no_error(tmp_path: Path) -> None:
    tape = ("marks.yaml", "mark_gauge:", "length_gauges: {tape: {uncertainty: 0.020 in}}\nmark_gauge:")
    both = six("{length: 9.4200 in, feel: slack, length_gauge: tape}", "{length: 9.4200 in, feel: tight}")
    found = length(tmp_path, SIX, NO_FEEL, tape, both)
    assert found.expanded / INCH == pytest.approx((0.020**2 + 0.002**2) ** 0.5 / 2, abs=0.0002)


def test_one_side_alone_is_a_bound_with_the_next_setting(tmp_path: Path) -> None:
    with pytest.raises(Undecided, match=r"clearance was still felt at .* set the checker half a turn longer"):
        length(tmp_path, SIX, six("{turns: 9, feel: slack}"))


def test_tight_shorter_than_slack_is_a_contradiction(tmp_path: Path) -> None:
    with pytest.raises(Contradiction, match="are slack and tight swapped"):
        length(tmp_path, SIX, six("{turns: 10, feel: slack}", "{turns: 9, feel: tight}"))


def test_under_a_nut_another_bracket_begins_after_a_mark(tmp_path: Path) -> None:
    """The nut was turned for the shorter pushrod: its bracket does not contradict the one before."""
    first = "{turns: 10, feel: tight}", "{turns: 9.5, feel: slack, mark: {from: 0.138 in, to: 0.165 in}}"
    second = "{turns: 9, feel: tight}", "{turns: 8.5, feel: slack, mark: {from: 0.138 in, to: 0.165 in}}"
    found = altered(tmp_path, SIX, NO_FEEL, EXACT_CHECKER, six(*first, *second))
    read = [trial.length for trial in trials(found.facts, INTAKE)]
    assert [value is None for value in read] == [True, False, True, False]
    assert [value.si / INCH for value in read if value] == pytest.approx([9.448, 9.412], abs=0.005)


def test_a_bracket_with_two_checkers(tmp_path: Path) -> None:
    named = "checkers:\n  long: {thread: 1/4-28, length_at_zero_turns: 9.300 in}\n  short:\n    thread: 1/4-28"
    several = ("pushrods.yaml", "checker:\n  thread: 1/4-28\n", f"{named}\n")
    ends = ("pushrods.yaml", "  most_turns: 16\n  ends: {type: ball, ball_radius: 5/32 in, oil_hole: 0.060 in}\n", "")
    zero = ("pushrods.yaml", f"  {CHECKER}\n", "    length_at_zero_turns: 9.100 in\n")
    turns = ("marks.yaml", "{turns: 7, mark", "{turns: 7, checker: short, mark")
    more = ("marks.yaml", "turns: 9.25\n", "turns: 9.25\n        checker: short\n")
    last = ("marks.yaml", "{turns: 9, mark", "{turns: 9, checker: short, mark")
    both = six("{turns: 3.36, feel: slack, checker: long}", "{turns: 9.24, feel: tight, checker: short}")
    found = length(tmp_path, SIX, NO_FEEL, several, ends, zero, turns, more, last, both)
    assert found.si / INCH == pytest.approx((9.300 + 3.36 / 28 + 9.100 + 9.24 / 28) / 2, abs=1e-6)


KNOWN = "known_pushrod: {length: 190.50 mm, stated_as: overall}"


def test_a_known_pushrod_with_a_feeler(tmp_path: Path) -> None:
    found = length(tmp_path, EIGHT, eight(f"{{{KNOWN}, feeler: 0.34 mm +/- 0.02 mm}}"))
    assert found.si / MM == pytest.approx(190.70)
    assert found.expanded / MM == pytest.approx((0.02**2 + (0.05 * 0.34) ** 2) ** 0.5 / 1.7)


DRY = eight(f"{{{KNOWN}, feeler: 6.8 mm, plunger: bottom, lifter: hydraulic}}")


def test_dry_clearance_takes_the_whole_plunger_travel_off(tmp_path: Path) -> None:
    assert length(tmp_path, EIGHT, DRY).si / MM == pytest.approx(190.50 + 6.8 / 1.7 - 3.8)


def test_dry_clearance_without_the_plunger_travel_is_undecided(tmp_path: Path) -> None:
    with pytest.raises(Undecided, match=r"enter lifter\.travel"):
        length(tmp_path, EIGHT, DRY, ("cam.yaml", "  travel: 3.8 mm\n", ""))


def test_a_hydraulic_lifter_of_unknown_plunger_is_undecided(tmp_path: Path) -> None:
    with pytest.raises(Undecided, match="enter plunger"):
        length(tmp_path, EIGHT, eight(f"{{{KNOWN}, feeler: 6.8 mm, lifter: hydraulic}}"))


def test_turns_of_the_bolt_are_good_to_an_eighth(tmp_path: Path) -> None:
    found = length(
        tmp_path, EIGHT, eight(f"{{{KNOWN}, bolt_turns: 0.5}}"), ("pushrods.yaml", "inclination: 6 deg\n", "")
    )
    turn = 1.25 * (1 + 1 / 1.7)
    assert found.si / MM == pytest.approx(190.50 - 0.5 * turn)
    assert found.expanded / MM == pytest.approx(((turn / 8) ** 2 + (0.05 * 0.5 * turn) ** 2) ** 0.5)


def test_a_known_pushrod_says_nothing_on_a_stud(tmp_path: Path) -> None:
    with pytest.raises(Undecided, match="on a fixed mount only"):
        length(tmp_path, SIX, six("{known_pushrod: {length: 9.4 in, stated_as: overall}, feeler: 0.03 in}"))
