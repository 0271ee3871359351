"""Trials as read from marks.yaml: what one of them has of its own, and what none of them has."""

from __future__ import annotations

from pathlib import Path

import pytest
from altered import EIGHT, SIX, as_it_is, facts
from bench import judged as judged_with
from bench import trials
from judging import Judged
from rewritten import Worded, copied, kinds, results

from buildcheck.cli.main import main
from buildcheck.core.subject import Subject

LAST = "mark: {from: 0.138 in, to: 0.165 in}"
SLIPPED = "{from: 2.9 mm, to: 51 mm}, shut_at: 3.35 mm, open_at: 3.40 mm"
FIRST, SECOND = Subject(1, "intake"), Subject(2, "intake")


@pytest.mark.parametrize(("turns", "kind"), [("1.5", "fail"), ("4", "pass")])
def test_a_trial_s_own_turns_of_the_crank_count_for_it_alone(judged: Judged, turns: str, kind: str) -> None:
    outcome = judged(SIX, ("marks.yaml", LAST, f"{LAST}, turns_of_crank: {turns}")).kinds("crank-turned-twice")
    assert (outcome["2/intake"], outcome["1/intake"]) == (kind, "pass")


def test_running_parts_in_one_trial_count_for_it_alone(judged: Judged) -> None:
    outcome = judged(SIX, ("marks.yaml", LAST, f"{LAST}, springs: running, lifter: hydraulic"))
    found = outcome.kinds("running-parts-measured")
    assert (found["2/intake"], found["1/intake"]) == ("pass", "fail")


def test_a_trial_s_own_lifter_makes_its_length_another(tmp_path: Path) -> None:
    """A cup 0.010 in lower than the stand-in's of the other trials requires a pushrod that much shorter."""
    own = facts(tmp_path, SIX, ("marks.yaml", LAST, f"{LAST}, lifter_cup_height: 1.895 in"))
    shorter = as_it_is(SIX).facts.get("length_asked", SECOND).si - own.get("length_asked", SECOND).si
    assert shorter / 0.0254 == pytest.approx(0.010)


def test_the_stand_in_s_cup_height_is_not_that_of_the_lifter_to_be_run(tmp_path: Path) -> None:
    """On its own cup, 0.015 in lower than the stand-in's, the same valve takes a pushrod so much longer."""
    last = ("marks.yaml", f"length: 9.4250 in, {LAST}", f"length: 9.4400 in, {LAST}, springs: running, lifter: locked")
    found = facts(tmp_path, SIX, last).get("length_asked", SECOND)
    assert found.si == pytest.approx(as_it_is(SIX).facts.get("length_asked", SECOND).si)


def test_a_first_trial_on_another_stand_in_shows_what_it_showed(tmp_path: Path) -> None:
    """Under a nut the lengths tell where the pivot stood: over a cup 0.010 in higher the pushrod is so much shorter."""
    first = ("marks.yaml", "{length: 9.3505 in, mark", "{length: 9.3405 in, lifter_cup_height: 1.915 in, mark")
    valve = Subject(6, "exhaust")
    for name in ("length_asked", "height_error"):
        found = facts(tmp_path / name, SIX, first).get(name, valve)
        assert found.si == pytest.approx(as_it_is(SIX).facts.get(name, valve).si)


def test_a_trial_that_the_fit_does_without_is_named(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Two trials on a stand-in lifter without a stated height; the last one is on the lifter to be run."""
    last = "{length: 9.4255 in, mark: {from: 0.145 in"
    locked = ("marks.yaml", last, last.replace("{length", "{lifter: locked, length"))
    own = facts(tmp_path, SIX, ("marks.yaml", "lifter_cup_height: 1.905 in\n", ""), locked)
    left_out = "trial 1 and 2 not used: it lacks length or lifter_cup_height"
    assert own.get("height_error", FIRST).remark == left_out
    assert own.get("height_error", SECOND).remark == ""
    assert main(["advise", str(tmp_path / "build"), "--valve", "1/intake"]) == 0
    assert f"(contact lines, {left_out})" in " ".join(capsys.readouterr().out.split())


@pytest.mark.parametrize(("line", "other"), [("shut_at", "open_at"), ("open_at", "shut_at")])
def test_a_contact_line_without_the_other_is_named(
    judged: Judged, tmp_path: Path, capsys: pytest.CaptureFixture[str], line: str, other: str
) -> None:
    """The height is reported without it, and never silently."""
    edit = ("marks.yaml", "shut_at: 0.153 in, open_at: 0.150 in", f"{line}: 0.152 in")
    output = f"{line} of trial 3 not used: {other} is missing"
    assert output in judged(SIX, edit).result("geometry-at-mid-lift", "1/intake")["message"]
    assert main(["advise", str(copied(tmp_path, SIX, edit)), "--valve", "1/intake"]) == 0
    assert f"(trials together, {output})" in " ".join(capsys.readouterr().out.split())


@pytest.mark.parametrize(
    ("others", "kind"), [([trials(f"length: 9.4 in, {LAST}", cylinder=2)], "notApplicable"), ([], "open")]
)
def test_a_lone_line_that_is_all_that_was_read_is_named_too(tmp_path: Path, others: list[str], kind: str) -> None:
    found = judged_with(tmp_path, trials("length: 9.400 in, shut_at: 0.15 in"), *others)
    [outcome] = [
        Worded(found, one) for one in found.results if (one.rule, one.subject) == ("geometry-at-mid-lift", FIRST)
    ]
    assert (outcome.kind, outcome.message.partition("; ")[2]) == (
        kind,
        "shut_at of trial 1 not used: open_at is missing",
    )


def test_trials_and_lines_left_out_are_named_together(tmp_path: Path) -> None:
    last = "{length: 9.4255 in, mark: {from: 0.145 in, to: 0.172 in}, shut_at: 0.153 in, open_at: 0.150 in}"
    locked = ("marks.yaml", last, last.replace("{length", "{lifter: locked, length"))
    lone = ("marks.yaml", "to: 0.173 in}}", "to: 0.173 in}, open_at: 0.15 in}")
    found = facts(tmp_path, SIX, ("marks.yaml", "lifter_cup_height: 1.905 in\n", ""), locked, lone)
    assert found.get("height_error", FIRST).remark == (
        "trial 1 and 2 not used: it lacks length or lifter_cup_height; open_at of trial 2 not used: shut_at is missing"
    )


@pytest.mark.parametrize(
    ("lifter", "zero"), [("", 191.675), (", lifter_cup_height: 48.4 mm", (192.07 + 191.68) / 2), (", none", 191.68)]
)
def test_repeats_on_two_lifters_are_brought_to_one(tmp_path: Path, lifter: str, zero: float) -> None:
    """The last on the lifter to be run, its cup at 48.0 mm; a stand-in whose height nobody wrote repeats nothing."""
    first = f"length: 191.67 mm{lifter and ', lifter: solid'}{lifter.replace(', none', '')}"
    cup = ("cam.yaml", "type: hydraulic roller\n", "type: hydraulic roller\n  cup_height: 48.0 mm\n")
    found = facts(tmp_path, EIGHT, ("marks.yaml", "{length: 191.67 mm}", f"{{{first}}}"), cup)
    assert found.get("zero_lash_length", Subject(1, "exhaust")).si == pytest.approx(zero / 1000)


def test_where_no_last_trial_of_a_type_has_a_mark_it_is_requested(tmp_path: Path) -> None:
    found = judged_with(tmp_path, trials("length: 9.400 in"), trials("length: 9.400 in", cylinder=2))
    outcome = [one for one in results(found, "mark-on-tip", "intake") if one.subject.cylinder == 1]
    assert [(one.kind, one.message.partition(". ")[2]) for one in outcome] == [("open", "The last trial has no mark")]


def test_a_valve_without_a_mark_is_taken_as_the_marked_ones_of_its_type(tmp_path: Path) -> None:
    marked = "length: 9.400 in, mark: {from: 0.146 in, to: 0.163 in}"
    found = judged_with(tmp_path, trials(marked), trials("length: 9.400 in", cylinder=2))
    assert kinds(found, "mark-on-tip", "intake") == {"pass"}
    [outcome] = [Worded(found, one) for one in found.results if (one.rule, one.subject) == ("mark-on-tip", SECOND)]
    assert (outcome.kind, "assumed to match the marked valves" in outcome.message) == ("notApplicable", True)


def test_a_mark_that_no_tip_can_bear_shows_nothing(judged: Judged) -> None:
    """A slip of the unit, or of the point: it has run off as it is written, and all else that rests on it is open."""
    slipped = ("marks.yaml", "{from: 3.20 mm, to: 4.05 mm}, shut_at: 3.35 mm, open_at: 3.40 mm", SLIPPED)
    outcome = judged(EIGHT, slipped)
    assert outcome.blocking() >= {("parts-consistent", ""), ("mark-on-tip", "1/intake"), ("mark-centred", "1/intake")}
    assert outcome.kinds("mark-on-tip")["1/intake"] == "fail"
    for rule in ("geometry-fixed-mount", "mark-centred", "trial-consistency", "mark-width"):
        result = outcome.result(rule, "1/intake")
        assert (result["kind"], result["value"], result["line"]) == ("open", None, 20), rule
        assert result["message"].endswith(
            "The mark ends at 51.00 mm, and the tip at 7.000 mm (is a unit or digit wrong?)"
        )


def test_the_advice_requires_the_mark_again(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    build = copied(tmp_path, EIGHT, ("marks.yaml", "{from: 3.20 mm, to: 4.05 mm}", "{from: 2.9 mm, to: 51 mm}"))
    assert main(["advise", str(build), "--valve", "1/intake"]) == 0
    output = capsys.readouterr().out
    assert "no mark in the last trial" not in output
    assert "Take a new mark: the mark ends at 51.00 mm, and the tip at 7.000 mm (is a unit or digit wrong?)." in output
    assert "from the pedestal" not in output


def test_an_earlier_mark_that_cannot_be_leaves_the_last_one_its_own(judged: Judged) -> None:
    """Where the mark lies is read off the last; the height, reported by all of them, is not."""
    outcome = judged(SIX, ("marks.yaml", "{from: 0.136 in, to: 0.172 in}", "{from: 0.136 in, to: 1.72 in}"))
    assert outcome.kinds("mark-on-tip")["1/intake"] == "pass"
    result = outcome.result("geometry-at-mid-lift", "1/intake")
    assert (result["kind"], result["line"]) == ("open", 19)


@pytest.mark.parametrize(("end", "tip", "kind"), [
    ("0.3120 in", "0.310 in +/- 0.002 in", "pass"), ("0.315 in", "0.310 in", "pass"), ("0.316 in", "0.310 in", "fail"),
    ("0.320 in +/- 0.010 in", "0.310 in +/- 0.002 in", "pass"), ("0.317 in", "0.310 in +/- 0.008 in", "pass"),
])  # fmt: skip
def test_a_mark_that_just_passes_the_edge_is_no_slip(judged: Judged, end: str, tip: str, kind: str) -> None:
    """By as much as tip and mark may be misread, and 0.005 in at the least; it has run off in any case."""
    mark = ("marks.yaml", "{from: 0.145 in, to: 0.172 in}", f"{{from: 0.280 in, to: {end}}}")
    outcome = judged(SIX, mark, ("heads.yaml", "tip_diameter: 0.310 in +/- 0.002 in", f"tip_diameter: {tip}"))
    assert outcome.kinds("mark-on-tip")["1/intake"] == "fail"
    assert outcome.kinds("parts-consistent")[""] == kind


BAD = "mark: {from: 0.005 in, to: 0.032 in}, shut_at: 0.013 in, open_at: 0.010 in}"
GOOD = "mark: {from: 0.145 in, to: 0.172 in}, shut_at: 0.153 in, open_at: 0.150 in}"


def test_a_later_trial_without_a_mark_hides_no_bad_mark(judged: Judged) -> None:
    outcome = judged(SIX, ("marks.yaml", GOOD, f"{BAD}\n      - {{length: 9.4255 in}}"))
    assert outcome.code == 1
    assert ("mark-on-tip", "1/intake") in outcome.blocking()
