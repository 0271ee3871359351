"""A valve marked with the parts to be run: what shows its height and its length is a trial kept above that one."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from altered import CLOSED, EIGHT, FLAT, PAD_TIP, SIX, facts
from judging import Judged, Outcome
from rewritten import Edit, copied

from buildcheck.cli.main import main
from buildcheck.core.subject import Subject

READ = "mark: {from: 0.141 in, to: 0.174 in}"
LINES = ", shut_at: 0.154 in, open_at: 0.147 in"
KEPT = f"      - {{length: 9.4775 in, {READ}{LINES}, springs: checking, lifter: locked}}\n"
KEEP = "add a trial on a solid checking lifter, or a hydraulic lifter with its plunger blocked"


def first(*rows: str) -> Edit:
    """The trials of the first valve of a finished build, otherwise marked with the parts to be run."""
    return ("marks.yaml", f"      - {{length: 9.4775 in, {READ}{LINES}}}\n", "".join(rows))


def open_rules(outcome: Outcome, key: str) -> dict[str, str]:
    own = [one for one in outcome.build["results"] if one["kind"] == "open"]
    return {one["rule"]: one["message"] for one in own if "/".join(map(str, one["subject"].values())) == key}


def test_a_lone_running_trial_says_which_other_to_keep(judged: Judged) -> None:
    outcome = judged(CLOSED, first(f"      - {{length: 9.4775 in, {READ}}}\n"))
    assert outcome.blocking() == {("length-orderable", "1/intake")}
    found = open_rules(outcome, "1/intake")
    assert {"trial-consistency", "geometry-at-mid-lift", "length-orderable", "mark-width"} <= set(found)
    assert all(KEEP in message for message in found.values()), found


@pytest.mark.parametrize(
    ("rule", "cure"),
    [
        ("every-valve-measured", "with a solid or blocked lifter and checking springs"),
        ("running-parts-measured", "Keep the earlier trials."),
    ],
)
def test_the_cure_for_stand_ins_keeps_the_trial_on_them(judged: Judged, rule: str, cure: str) -> None:
    row = KEPT if rule == "running-parts-measured" else ""
    valve = "  - cylinder: 1\n    valve: intake\n    crank: 107 deg\n    trials:\n"
    edits = [first(row)] if row else [first(""), ("marks.yaml", valve, "")]
    outcome = judged(CLOSED, *edits)
    result = outcome.result(rule, "1/intake")
    assert result["kind"] == "fail"
    assert cure in result["message"]
    assert "last " in result["message"]


def test_what_they_say_leads_out(judged: Judged) -> None:
    """A trial with its lines on a locked lifter, and below it the one with the parts to be run."""
    outcome = judged(CLOSED, first(KEPT, f"      - {{length: 9.4775 in, {READ}}}\n"))
    assert (outcome.verdict, outcome.code) == ("pass", 0)
    assert outcome.kinds("running-parts-measured")["1/intake"] == "pass"
    assert outcome.kinds("trial-consistency")["1/intake"] == "pass"
    message = open_rules(outcome, "1/intake")["mark-width"]
    assert message.endswith("A hydraulic lifter can give way while marking")


def test_a_trial_on_a_stand_in_of_unknown_height_is_reported_as_that(judged: Judged) -> None:
    solid = KEPT.replace("locked", "solid")
    outcome = judged(CLOSED, first(solid, f"      - {{length: 9.4775 in, {READ}}}\n"))
    for rule in ("length-orderable", "trial-consistency", "geometry-at-mid-lift"):
        message = outcome.result(rule, "1/intake")["message"]
        assert message.endswith("Trial 1 not used: it lacks length or lifter_cup_height"), rule


RUN = "springs: running, lifter: hydraulic"
"""As the engine runs; under a rocker of fixed height its pushrod is past zero lash, so no length is written."""
EIGHTH = "trials: [{length: 190.74 mm}]"
MARKED = "mark: {from: 3.20 mm, to: 4.05 mm}"
SECOND = Subject(2, "intake")


def with_mark(mark: str = MARKED, more: str = "") -> Edit:
    return ("marks.yaml", EIGHTH, f"trials: [{{length: 190.74 mm}}, {{{mark}, {RUN}{more}}}]")


def test_a_mark_made_with_the_pushrod_to_be_run_leaves_the_length_alone(judged: Judged) -> None:
    before, outcome = (judged(EIGHT, *edits, options=["--stage", "assembled"]) for edits in ((), (with_mark(),)))
    for name in ("zero_lash_length", "length_asked", "preload"):
        assert outcome.build["quantities"][name]["2/intake"] == before.build["quantities"][name]["2/intake"]
    for rule in ("mark-on-tip", "mark-centred", "crank-turned-twice", "running-parts-measured", "length-orderable"):
        assert outcome.result(rule, "2/intake")["kind"] == "pass", rule
    assert outcome.result("repeats-agree", "2/intake")["kind"] == "notApplicable"
    assert before.kinds("running-parts-measured")["2/intake"] == "fail"


def test_its_mark_is_the_one_that_is_judged(judged: Judged) -> None:
    outcome = judged(EIGHT, with_mark("mark: {from: 0 mm, to: 1.05 mm}"))
    result = outcome.result("mark-on-tip", "2/intake")
    assert (result["kind"], result["blocks"], result["line"]) == ("fail", True, 27)


@pytest.mark.parametrize(
    ("trials", "expected"),
    [
        (f"{{{MARKED}, {RUN}}}", "No trial of this valve has a zero-lash length"),
        (
            f"{{length: 190.74 mm}}, {{{MARKED}, {RUN}, shim: 0.50 mm}}",
            "Zero lash was not found with the shim of the last trial",
        ),
    ],
)
def test_without_a_length_over_its_shim_one_is_requested(judged: Judged, trials: str, expected: str) -> None:
    outcome = judged(EIGHT, ("marks.yaml", EIGHTH, f"trials: [{trials}]"))
    assert expected in outcome.result("preload-in-range", "2/intake")["message"]
    assert ("preload-in-range", "2/intake") in outcome.blocking()


def test_under_a_screw_too(judged: Judged) -> None:
    """The solid lifters are those to be run; a mark with the pushrod ordered says nothing of the length."""
    row = "{length: 10.596 in, mark: {from: 0.159 in, to: 0.187 in}, shut_at: 0.166 in, open_at: 0.164 in}"
    run = row + "\n      - {mark: {from: 0.158 in, to: 0.187 in}, springs: running}"
    before, outcome = judged(FLAT), judged(FLAT, ("marks.yaml", row, run))
    key = "2/intake"
    assert outcome.build["quantities"]["length_asked"][key] == before.build["quantities"]["length_asked"][key]
    assert outcome.build["quantities"]["mark_offset"][key]["si"] < before.build["quantities"]["mark_offset"][key]["si"]


def test_on_another_lifter_than_the_one_measured_on(tmp_path: Path) -> None:
    """The length stays that of the stand-in's cup, brought to the one to be run by the two cups' heights."""
    solid = ("marks.yaml", "lifter: locked ", "lifter: solid\nlifter_cup_height: 48.4 mm ")
    cup = ("cam.yaml", "type: hydraulic roller\n", "type: hydraulic roller\n  cup_height: 48.0 mm\n")
    found = facts(tmp_path, EIGHT, solid, cup, with_mark())
    assert found.get("zero_lash_length", SECOND).si == pytest.approx(0.19074)
    assert found.get("zero_lash_length_to_run", SECOND).si == pytest.approx(0.19114)


def test_under_a_nut_height_and_length_are_those_of_the_last_with_a_length(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    last = "{length: 9.4250 in, mark: {from: 0.138 in, to: 0.165 in}, shut_at: 0.144 in, open_at: 0.143 in}"
    run = f"{last}\n      - {{mark: {{from: 0.150 in, to: 0.180 in}}, {RUN}}}"
    before, after = (facts(tmp_path / str(len(edits)), SIX, *edits) for edits in ((), (("marks.yaml", last, run),)))
    for name in ("length_asked", "height_error", "length_change_for_mark", "offset_at_narrowest"):
        assert after.get(name, SECOND).si == pytest.approx(before.get(name, SECOND).si), name
    assert after.get("mark_offset", SECOND).si > before.get("mark_offset", SECOND).si
    expected = "trial 2 not used: it lacks length or lifter_cup_height"
    assert after.get("height_error", SECOND).remark == expected
    assert main(["advise", str(tmp_path / "1" / "build"), "--valve", "2/intake", "--format", "json"]) == 0
    assert json.loads(capsys.readouterr().out)


@pytest.mark.parametrize("length", ["", "length: 199.76 mm, "])
def test_under_a_nut_a_plain_tip_is_reported_by_the_last_width_that_counts(
    judged: Judged, tmp_path: Path, length: str
) -> None:
    """A mark on a lifter that gives way is narrower than the sweep: it lies where it lies, and shows no more."""
    row = "trials: [{length: 199.76 mm, mark: {from: 1.40 mm, to: 5.80 mm}}]"
    run = row.replace("}}]", f"}}}}, {{{length}mark: {{from: 1.50 mm, to: 5.50 mm}}, lifter: hydraulic}}]")
    outcome, before = judged(PAD_TIP, ("marks.yaml", row, run)), judged(PAD_TIP)
    key = "2/intake"
    assert outcome.result("length-orderable", key)["kind"] == "pass"
    for name in ("length_asked", "length_change_for_mark"):
        assert outcome.build["quantities"][name][key] == before.build["quantities"][name][key]
    assert outcome.result("mark-on-tip", key)["value"] != before.result("mark-on-tip", key)["value"]


def test_reports_pictures_sheets_and_questions_take_it(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    build = str(copied(tmp_path, EIGHT, with_mark()))
    calls = [
        ["report", build, "--pictures"],
        ["plan", build],
        ["plan", build, "--into", f"{build}/marks.yaml"],
        ["advise", build],
    ]
    calls.append(["advise", build, "--with", "head_milled=0.5 mm"])
    assert [main(call) for call in calls] == [0] * len(calls)
    assert "2 intake" in (tmp_path / "build" / "REPORT.md").read_text()
    assert (tmp_path / "build" / "marks" / "2-intake.svg").exists()
    capsys.readouterr()
