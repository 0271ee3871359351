"""Trials as read from marks.yaml: what one of them has of its own, and what none of them has."""

from __future__ import annotations

from pathlib import Path

import pytest
from altered import SIX, as_it_is, facts
from bench import judged as judged_with
from bench import trials
from judging import Judged
from rewritten import kinds, results

from buildcheck.subjects import Subject

LAST = "mark: {from: 0.138 in, to: 0.165 in}"
SECOND = Subject(2, "intake")


@pytest.mark.parametrize(("turns", "kind"), [("1.5", "fail"), ("4", "pass")])
def test_a_trial_s_own_turns_of_the_crank_count_for_it_alone(judged: Judged, turns: str, kind: str) -> None:
    told = judged(SIX, ("marks.yaml", LAST, f"{LAST}, turns_of_crank: {turns}")).kinds("crank-turned-twice")
    assert (told["2/intake"], told["1/intake"]) == (kind, "pass")


def test_running_parts_in_one_trial_count_for_it_alone(judged: Judged) -> None:
    told = judged(SIX, ("marks.yaml", LAST, f"{LAST}, springs: running, lifter: hydraulic"))
    found = told.kinds("running-parts-measured")
    assert (found["2/intake"], found["1/intake"]) == ("pass", "fail")


def test_a_trial_s_own_lifter_makes_its_length_another(tmp_path: Path) -> None:
    """A cup 0.010 in lower than the stand-in's of the other trials asks for a rod that much shorter."""
    own = facts(tmp_path, SIX, ("marks.yaml", LAST, f"{LAST}, lifter_cup_height: 1.895 in"))
    shorter = as_it_is(SIX).facts.get("length_asked", SECOND).si - own.get("length_asked", SECOND).si
    assert shorter / 0.0254 == pytest.approx(0.010)


def test_where_no_last_trial_of_a_type_has_a_mark_it_is_asked_for(tmp_path: Path) -> None:
    found = judged_with(tmp_path, trials("length: 9.400 in"), trials("length: 9.400 in", cylinder=2))
    told = [one for one in results(found, "mark-on-tip", "intake") if one.subject.cylinder == 1]
    assert [(one.kind, one.message.partition(": ")[2]) for one in told] == [
        ("open", "cannot be told: the last trial has no mark")
    ]


def test_a_valve_without_a_mark_is_taken_as_the_marked_ones_of_its_type(tmp_path: Path) -> None:
    marked = "length: 9.400 in, mark: {from: 0.146 in, to: 0.163 in}"
    found = judged_with(tmp_path, trials(marked), trials("length: 9.400 in", cylinder=2))
    assert kinds(found, "mark-on-tip", "intake") == {"pass"}
    [told] = [one for one in found.results if (one.rule, one.subject) == ("mark-on-tip", SECOND)]
    assert (told.kind, "taken to be as the marked valves" in told.message) == ("notApplicable", True)
