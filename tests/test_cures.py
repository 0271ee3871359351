"""Cures that fit the case: what is told to do can be done on this tip, this mount and with what is already written."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from bench import PEDESTAL, STUD, trials
from bench import judged as laid_out
from judging import Judged
from twin import lay_out, mark

from buildcheck.app.run import run
from buildcheck.output.finding_wording import message as result_text

EIGHT = "tests/builds/vee_eight_mm"
NO_STOCK = ("pushrods.yaml", "to: 200.0 mm", "to: 190.0 mm")


def message(found: Any, rule: str, cylinder: int = 1, valve: str = "intake") -> str:
    [own] = [r for r in found.results if (r.rule, r.subject.cylinder, r.subject.valve) == (rule, cylinder, valve)]
    return result_text(found, own)


@pytest.mark.parametrize("rule", ["mark-centred", "mark-near-centre", "mark-position-hint"])
def test_a_plain_tip_bolted_down_is_reported_of_the_shim(tmp_path: Path, rule: str) -> None:
    found = run([lay_out(tmp_path, mark(1.0, 4.0))]).builds[0]
    assert "shim" in message(found, rule)


@pytest.mark.parametrize("rule", ["geometry-at-mid-lift", "mark-position-hint"])
def test_lines_that_are_written_are_not_requested_again(tmp_path: Path, rule: str) -> None:
    low = "length: 9.400 in, mark: {from: 0.100 in, to: 0.136 in}, shut_at: 0.1001 in, open_at: 0.125 in"
    found = laid_out(tmp_path, trials(low), rockers=STUD)
    assert "If the contact lines are not entered, read shut_at and open_at" in message(found, rule)


def test_a_length_made_to_order_is_named(judged: Judged) -> None:
    result = judged(EIGHT, NO_STOCK).result("length-orderable", "2/intake")
    assert result["kind"] == "fail"
    assert "no stock length fits, made to length 191.74 mm overall" in result["message"]
    assert "order the length shown, made to length" in result["message"]


@pytest.mark.parametrize(("cylinder", "like"), [(8, "5, 6, 7"), (4, "1, 2, 3")])
def test_an_unmeasured_valve_is_to_be_measured_itself(judged: Judged, cylinder: int, like: str) -> None:
    """Unmeasured valves have their length from the measured ones of their type and bank."""
    result = judged(EIGHT, NO_STOCK).result("length-orderable", f"{cylinder}/intake")
    assert f"assumed as on cylinders {like}: measure this one" in result["message"]
    assert "Measure an unmeasured valve first" in result["message"]


def test_a_length_chosen_wrongly_is_reported_what_the_valve_allows(judged: Judged) -> None:
    chosen = ("pushrods.yaml", "", "chosen: {intake: 195.0 mm, exhaust: 193.0 mm, stated_as: full ball}\n")
    result = judged(EIGHT, chosen)
    assert "allowed: 191.32 mm to 192.16 mm overall" in result.result("length-orderable", "2/intake")["message"]
    assert "it allows" not in result.result("length-orderable", "2/exhaust")["message"]


def test_an_unmeasured_valve_says_whom_to_settle(tmp_path: Path) -> None:
    shimmed = "length: 9.400 in, shim: 0.030 in, mark: {from: 0.146 in, to: 0.163 in}"
    found = laid_out(tmp_path, trials(shimmed), rockers=PEDESTAL)
    assert "The shim of the last trial differs from the one in rockers.yaml" in message(found, "length-orderable")
    assert message(found, "length-orderable", 2).endswith(
        "certain enough to assume it for this valve: settle cylinder 1 intake, or measure it"
    )


def test_a_spread_that_stays_may_be_conceded(judged: Judged) -> None:
    apart = ("marks.yaml", "length: 190.86 mm", "length: 194.00 mm")
    result = judged(EIGHT, apart).result("length-spread", "intake")
    assert result["kind"] == "fail"
    assert "concede the spread in concessions.yaml" in result["message"]
    conceded = (
        "- rule: length-spread\n  valve: intake\n  up_to: 3.5 mm\n  because: seat 6 is sunk\n  accepted_by: owner\n"
    )
    allowed = judged(EIGHT, apart, ("concessions.yaml", "", conceded))
    assert not allowed.result("length-spread", "intake")["blocks"]
    assert ("194.50 mm", 1, True) in allowed.lines() or len(allowed.lines()) > 2
