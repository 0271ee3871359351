"""A valve marked with the parts to be run: what tells its height and its length is a trial kept above that one."""

from __future__ import annotations

import pytest
from altered import CLOSED
from judging import Judged, Told
from rewritten import Edit

READ = "mark: {from: 0.141 in, to: 0.174 in}"
LINES = ", shut_at: 0.154 in, open_at: 0.147 in"
KEPT = f"      - {{length: 9.4775 in, {READ}{LINES}, springs: checking, lifter: locked}}\n"
KEEP = "keep above it a trial on a solid or locked lifter with checking springs, a roller's contact lines read too"


def first(*rows: str) -> Edit:
    """The trials of the first valve of a finished build, otherwise marked with the parts to be run."""
    return ("marks.yaml", f"      - {{length: 9.4775 in, {READ}{LINES}}}\n", "".join(rows))


def open_rules(told: Told, key: str) -> dict[str, str]:
    own = [one for one in told.build["results"] if one["kind"] == "open"]
    return {one["rule"]: one["message"] for one in own if "/".join(map(str, one["subject"].values())) == key}


def test_a_lone_running_trial_says_which_other_to_keep(judged: Judged) -> None:
    told = judged(CLOSED, first(f"      - {{length: 9.4775 in, {READ}}}\n"))
    assert told.blocking() == {("length-orderable", "1/intake")}
    found = open_rules(told, "1/intake")
    assert {"trial-consistency", "geometry-at-mid-lift", "length-orderable", "mark-width"} <= set(found)
    assert all(KEEP in message for message in found.values()), found


@pytest.mark.parametrize("rule", ["every-valve-measured", "running-parts-measured"])
def test_the_cure_for_stand_ins_keeps_the_trial_on_them(judged: Judged, rule: str) -> None:
    row = KEPT if rule == "running-parts-measured" else ""
    valve = "  - cylinder: 1\n    valve: intake\n    crank: 107 deg\n    trials:\n"
    edits = [first(row)] if row else [first(""), ("marks.yaml", valve, "")]
    told = judged(CLOSED, *edits)
    result = told.result(rule, "1/intake")
    assert result["kind"] == "fail"
    assert "on a solid or locked lifter with checking springs" in result["message"]
    assert "last trial" in result["message"]


def test_what_they_say_leads_out(judged: Judged) -> None:
    """A trial with its lines on a locked lifter, and below it the one with the parts to be run."""
    told = judged(CLOSED, first(KEPT, f"      - {{length: 9.4775 in, {READ}}}\n"))
    assert (told.verdict, told.code) == ("pass", 0)
    assert told.kinds("running-parts-measured")["1/intake"] == "pass"
    assert told.kinds("trial-consistency")["1/intake"] == "pass"
    message = open_rules(told, "1/intake")["mark-width"]
    assert message.endswith("a hydraulic lifter can give way while marking")


def test_a_trial_on_a_stand_in_of_unknown_height_is_told_as_that(judged: Judged) -> None:
    solid = KEPT.replace("locked", "solid")
    told = judged(CLOSED, first(solid, f"      - {{length: 9.4775 in, {READ}}}\n"))
    for rule in ("length-orderable", "trial-consistency", "geometry-at-mid-lift"):
        message = told.result(rule, "1/intake")["message"]
        assert message.endswith("trial 1 not counted: no length, or no lifter_cup_height, is written"), rule
