"""The log to the end: what came, what was set, what was seen, and which gap keeps a build from its stage."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from rewritten import as_it_is, kinds, results, rewritten

from buildcheck.app.build_check import CheckedBuild

CLOSED, EIGHT, FLAT = "tests/builds/inline_six_closed", "tests/builds/vee_eight_mm", "tests/builds/flat_four_solid"
LOG = "as_built.yaml"
FIRST = (
    "{cylinder: 1, valve: intake, adjuster_turns: 0.5, rocker_torque: 20 ft-lb, engagement: 0.42 in, oil_seen: true}"
)
DELIVERED = "length: 9.464 in +/- 0.001 in, count: 13"


def blocking(found: CheckedBuild) -> set[str]:
    return {one.rule for one in found.results if one.blocks}


def test_a_finished_build_is_closed_within_its_rules() -> None:
    found = as_it_is(CLOSED)
    assert (found.verdict, found.build.stage, found.problems) == ("pass", "closed", ())
    held = ["delivered-enough", "oil-seen", "setting-recorded", "torque-recorded", "warm-checked", "signed"]
    assert [kinds(found, rule) for rule in held] == [{"pass"}] * len(held)
    assert len(results(found, "thread-engagement")) == len(results(found, "rocker-torque")) == 12


@pytest.mark.parametrize(
    ("old", "new", "rule"),
    [
        (DELIVERED, DELIVERED.replace("13", "11"), "delivered-enough"),
        (DELIVERED, DELIVERED.replace("9.464", "9.514"), "delivered-as-ordered"),
        (FIRST, FIRST.replace("adjuster_turns: 0.5, ", ""), "setting-recorded"),
        (FIRST, FIRST.replace("oil_seen: true", "oil_seen: false"), "oil-seen"),
        (FIRST, FIRST.replace("engagement: 0.42 in", "engagement: 0.30 in"), "thread-engagement"),
        (FIRST, FIRST.replace("20 ft-lb", "35 ft-lb"), "rocker-torque"),
        (FIRST, FIRST.replace("0.5", "1.5"), "preload-in-range"),
        ("running_check: {temperature: 188 degF, note", "note: later\nrunning_check: {note", "warm-checked"),
        ("signed_by: surveyor of the harbour's rescue boats", "note: unsigned", "signed"),
    ],
)
def test_each_gap_in_the_log_blocks_at_its_own_place(tmp_path: Path, old: str, new: str, rule: str) -> None:
    found = rewritten(tmp_path, CLOSED, (LOG, old, new))
    assert rule in blocking(found)
    first = next(one for one in results(found, rule) if one.blocks)
    assert LOG in {place.file for place in first.places}


def test_without_a_log_nothing_is_assembled() -> None:
    found = as_it_is("example_build", stage="closed")
    assert {"delivered-enough", "oil-seen", "setting-recorded", "warm-checked", "signed"} <= blocking(found)
    assert blocking(as_it_is("example_build")) == set()


def test_a_torque_left_out_warns_and_names_the_valve(tmp_path: Path) -> None:
    found = rewritten(tmp_path, CLOSED, (LOG, FIRST, FIRST.replace("rocker_torque: 20 ft-lb, ", "")))
    result = results(found, "torque-recorded")[0]
    assert (result.kind, result.level, found.verdict) == ("fail", "warning", "pass")
    assert "no rocker torque recorded: cylinder 1 intake." in result.message


def test_many_valves_are_counted_and_the_first_named(tmp_path: Path) -> None:
    text = (Path(__file__).parent / "builds/inline_six_closed" / LOG).read_text(encoding="utf-8")
    found = rewritten(tmp_path, CLOSED, (LOG, text, text.replace("oil_seen: true", "oil_seen: false")))
    assert "no oil seen: cylinder 1 intake, cylinder 1 exhaust, cylinder 2 intake, cylinder 2 exhaust and 8 more" in (
        results(found, "oil-seen")[0].message
    )


def test_pushrods_are_distinguished_whatever_convention_they_were_measured_in(tmp_path: Path) -> None:
    """9.450 in over the supplier's 0.120 in gauge is 9.4635 in overall: caps of 0.01198 and 0.00521 in an end."""
    gauge = "length: 9.4505 in +/- 0.001 in, count: 13"
    edits = [(LOG, DELIVERED, gauge), (LOG, "stated_as: overall", "stated_as: gauge, gauge_hole: 0.120 in")]
    found = rewritten(tmp_path / "a", CLOSED, *edits)
    assert kinds(found, "delivered-as-ordered") == kinds(found, "delivered-enough") == {"pass"}
    found = rewritten(tmp_path / "b", CLOSED, (LOG, DELIVERED, gauge))
    result = results(found, "delivered-as-ordered")[0]
    assert (result.kind, "9.450 in, shorter than ordered" in result.message) == ("fail", True)


def test_two_lengths_on_order_are_counted_apart(tmp_path: Path) -> None:
    """Eight each of 192.0 and 193.0 mm over full balls; overall the holes take 0.128 mm off an end."""
    came = [("191.75 mm", 8), ("192.74 mm", 7)]
    rows = [f"  - {{length: {length}, count: {count}, stated_as: overall}}\n" for length, count in came]
    log = "delivered:\n" + "".join(rows)
    found = rewritten(tmp_path, EIGHT, (LOG, "", log), stage="assembled")
    result = results(found, "delivered-enough")[0]
    assert result.kind == "fail"
    stated = r"mm \(full ball length\) needed"
    assert re.search(f"8 of 192.00 {stated}, 8 delivered; 8 of 193.00 {stated}, 7 delivered", result.message)
    assert kinds(found, "delivered-as-ordered") == {"pass"}


@pytest.mark.parametrize(("engagement", "kind"), [("11 mm", "fail"), ("12 mm", "pass")])
def test_a_bolt_in_aluminium_needs_half_as_much_again(tmp_path: Path, engagement: str, kind: str) -> None:
    """M8: 1.5 × 8 mm, where 8 mm would do in iron."""
    log = f"each: [{{cylinder: 1, valve: intake, engagement: {engagement}}}]\n"
    found = rewritten(tmp_path, EIGHT, (LOG, "", log), stage="assembled")
    assert kinds(found, "thread-engagement") == {kind}


@pytest.mark.parametrize(
    ("bolt", "kind"), [("", "open"), ("bolt_thread: 3/8-16\n", "fail"), ("bolt_thread: 1/4-20\n", "pass")]
)
def test_the_bolt_holds_a_rocker_down_and_not_its_adjusting_screw(tmp_path: Path, bolt: str, kind: str) -> None:
    """0.50 in of thread is 1.6 diameters of the 5/16-24 screw, but 1.3 of a bolt of 3/8 in and 2 of one of 1/4 in."""
    log = "each: [{cylinder: 1, valve: intake, engagement: 0.50 in}]\n"
    edits = ((LOG, "", log), ("rockers.yaml", "adjuster_range", f"{bolt}adjuster_range"))
    assert kinds(rewritten(tmp_path, FLAT, *edits, stage="assembled"), "thread-engagement") == {kind}


def test_a_fixed_rocker_on_a_hydraulic_lifter_has_no_setting_to_record() -> None:
    assert kinds(as_it_is(EIGHT), "setting-recorded") == set()


def test_solid_lifters_record_their_lash(tmp_path: Path) -> None:
    valves = [(number, valve) for number in range(1, 5) for valve in ("intake", "exhaust")]
    lash = {"intake": "0.015 in", "exhaust": "0.018 in"}
    rows = "".join(f"  - {{cylinder: {number}, valve: {valve}, lash: {lash[valve]}}}\n" for number, valve in valves)
    found = rewritten(tmp_path, FLAT, (LOG, "", "each:\n" + rows), stage="assembled")
    assert kinds(found, "setting-recorded") == kinds(found, "lash-in-range") == {"pass"}
    assert kinds(found, "lash-hot", "intake") == {"pass"}


def test_nobody_signs_where_no_person_is_at_risk(tmp_path: Path) -> None:
    found = rewritten(tmp_path, CLOSED, ("build.yaml", "person_at_risk: true\n", ""))
    assert (kinds(found, "signed"), found.verdict) == (set(), "pass")
