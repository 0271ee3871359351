"""One wrong mark is one problem: its consequences are folded under it, and the screen says what to do first."""

from __future__ import annotations

import re

import pytest
from judging import Judged
from rewritten import copied

from buildcheck.cli.main import main

SIX = "example_build"
GOOD = "mark: {from: 0.145 in, to: 0.172 in}, shut_at: 0.153 in, open_at: 0.150 in"
BAD = "mark: {from: 0.005 in, to: 0.032 in}, shut_at: 0.013 in, open_at: 0.010 in"


def screen(tmp_path, capsys, *edits) -> list[str]:  # type: ignore[no-untyped-def]
    main(["check", str(copied(tmp_path, SIX, *edits))])
    return [re.sub(r"^\S*build/", "", line) for line in capsys.readouterr().out.splitlines()]


def test_a_red_check_is_at_most_eight_lines_with_cause_and_action_first(tmp_path, capsys) -> None:  # type: ignore[no-untyped-def]
    lines = screen(tmp_path, capsys, ("marks.yaml", GOOD, BAD))
    assert len(lines) <= 8
    assert lines[0] == (
        "marks.yaml:21:42: error: cylinder 1 intake: distance from the mark to the valve tip edge "
        "0.0050 in ± 0.0030 in (edge nearer the pivot); minimum 0.0300 in (0.0250 in short). "
        "[mark-on-tip +7 rules]"
    )
    assert lines[1].startswith("  help: Check the entry, then ink the valve tip and take the mark again.")
    assert lines[-1].startswith(
        "build.yaml:1:1: note: Not ready to order: 1 error. Correct the error above, then check again."
    )


def test_the_advice_for_the_valve_replaces_what_the_rule_does_if_it_repeats(tmp_path, capsys) -> None:  # type: ignore[no-untyped-def]
    general = "If the result repeats, correct the pivot height if the mark is wide"
    assert main(["explain", "mark-on-tip"]) == 0
    assert general in capsys.readouterr().out
    help_line = screen(tmp_path, capsys, ("marks.yaml", GOOD, BAD))[1]
    assert "take the mark again. If the result repeats, no pushrod length corrects it." in help_line
    assert general not in help_line


def test_a_consequence_names_its_cause(judged: Judged) -> None:
    result = judged(SIX, ("marks.yaml", GOOD, BAD))
    found = {one["rule"]: one["because_of"] for one in result.build["results"] if "because_of" in one}
    cause = {"rule": "mark-on-tip", "subject": {"cylinder": 1, "valve": "intake"}}
    assert {"length-orderable", "mark-centred", "pushrod-buckling"} <= set(found)
    assert all(one == cause for one in found.values())


def test_a_good_build_has_no_consequences(judged: Judged) -> None:
    assert not any("because_of" in one for one in judged(SIX).build["results"])


def test_valves_with_the_same_problem_are_one_line_with_the_worst(tmp_path, capsys) -> None:  # type: ignore[no-untyped-def]
    two = ("marks.yaml", "mark: {from: 0.138 in, to: 0.165 in}", "mark: {from: 0.010 in, to: 0.037 in}")
    lines = screen(tmp_path, capsys, ("marks.yaml", GOOD, BAD), two)
    [line] = [line for line in lines if "[mark-on-tip" in line]
    assert "error: cylinder 1 intake (worst; cylinder 2 intake failing too): " in line


def test_a_file_that_is_missing_for_both_valve_types_is_one_line(tmp_path, capsys) -> None:  # type: ignore[no-untyped-def]
    build = copied(tmp_path, SIX)
    (build / "clearances.yaml").unlink()
    main(["check", str(build)])
    [line] = [line for line in capsys.readouterr().out.splitlines() if "[retainer-to-seal]" in line]
    assert ": error: intake and exhaust: retainer-to-seal clearance at full lift cannot be determined. " in line
    assert "(clearances.intake.retainer_to_seal is needed). The same is missing for exhaust" in line


@pytest.mark.parametrize(("limit", "loosened"), [("0.080 in", True), ("0.040 in", False)])
def test_the_verdict_names_loosened_limits_with_their_reason(tmp_path, capsys, limit, loosened) -> None:  # type: ignore[no-untyped-def]
    edit = ("build.yaml", "limits:\n", f"limits:\n  mark-centred: {{at_most: {limit}, because: worn tips}}\n")
    verdict = screen(tmp_path, capsys, edit)[-1]
    assert "Ready to order" in verdict
    assert ("1 limit loosened: mark-centred at most" in verdict) == loosened
    assert ("because worn tips" in verdict) == loosened


@pytest.mark.parametrize("form", ["json", "github", "gitlab", "junit", "sarif", "summary", "text"])
def test_every_format_names_a_loosened_limit_with_its_reason(tmp_path, capsys, form) -> None:  # type: ignore[no-untyped-def]
    edit = ("build.yaml", "limits:\n", "limits:\n  mark-centred: {at_most: 0.080 in, because: worn tips}\n")
    assert main(["check", str(copied(tmp_path, SIX, edit)), "--format", form]) == 0
    assert "worn tips" in capsys.readouterr().out


def test_a_failure_to_come_is_named_and_does_not_await_readings(tmp_path, capsys) -> None:  # type: ignore[no-untyped-def]
    edit = ("clearances.yaml", "rocker_to_stud: 0.085 in", "rocker_to_stud: 0.010 in")
    verdict = screen(tmp_path, capsys, edit)[-1]
    assert "1 check fails from stage 'assembled' on" in verdict
    assert "8 other checks come at later stages" in verdict


def test_what_is_due_earliest_comes_first(tmp_path, capsys) -> None:  # type: ignore[no-untyped-def]
    main(["check", "--stage", "closed", str(copied(tmp_path, SIX, ("marks.yaml", GOOD, BAD)))])
    errors = [line for line in capsys.readouterr().out.splitlines() if ": error: " in line]
    assert "[mark-on-tip " in errors[0]
    assert any("[every-valve-measured]" in line for line in errors[1:])
