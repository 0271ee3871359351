"""A spread of lengths that cannot be determined: whose doubt it is, and the reading that settles it."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from bench import GAUGES, PEDESTAL, STUD, lay_out, trials

from buildcheck.cli.main import main

BAND = GAUGES.replace("contact_band: 0 in", "contact_band: 0.012 in")
WIDE = "length: 9.400 in, mark: {from: 0.147 in, to: 0.179 in}"
"""At mid-lift as far as its width shows, which is to 0.0486 in: 0.079 in of pushrod."""
READ = f"{WIDE}, shut_at: 0.163 in, open_at: 0.163 in"


@pytest.fixture
def result(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Any:
    """Gives the advice on each valve, and what length-spread says of the intakes."""

    def both(*rows: str, rockers: str = STUD) -> tuple[dict[int, dict[str, Any]], dict[str, Any]]:
        entries = [trials(row, cylinder=number) for number, row in enumerate(rows, 1)]
        build = lay_out(tmp_path, *entries, gauges=BAND, rockers=rockers)
        capsys.readouterr()
        assert main(["advise", str(build), "--format", "json"]) == 0
        advice = json.loads(capsys.readouterr().out)["advice"]
        main(["check", str(build), "--format", "json"])
        [checked] = json.loads(capsys.readouterr().out)["builds"]
        own = [one for one in checked["results"] if one["rule"] == "length-spread"]
        [spread] = [one for one in own if one["subject"] == {"valve": "intake"}]
        return {one["subject"]["cylinder"]: one for one in advice}, spread

    return both


def test_two_widths_alone_that_leave_it_open_are_requested_their_lines(result: Any) -> None:
    advice, spread = result(WIDE, WIDE)
    assert (spread["kind"], spread["blocks"]) == ("open", True)
    assert "(cylinder 1 intake to cylinder 2 intake, least certain: cylinder 1 intake)" in spread["message"]
    for one in advice.values():
        assert (one["step"]["action"], one["needs_work"]) == ("read contacts", True)
        assert one["texts"]["next"].startswith("Read both contact lines. (The mark is good, but its length is")


def test_the_lines_settle_it(result: Any) -> None:
    advice, spread = result(READ, READ)
    assert spread["kind"] == "pass"
    assert {one["step"]["action"] for one in advice.values()} == {"none"}


def test_only_the_valve_with_their_lines_were_not_read_is_requested(result: Any) -> None:
    advice, spread = result(READ, WIDE.replace("9.400", "9.440"))
    assert spread["kind"] == "open"
    assert "least certain: cylinder 2 intake" in spread["message"]
    assert {number: one["step"]["action"] for number, one in advice.items()} == {1: "none", 2: "read contacts"}


def test_a_valve_between_the_shortest_and_the_longest_is_left_alone(result: Any) -> None:
    advice, _ = result(*(WIDE.replace("9.400", length) for length in ("9.400", "9.390", "9.410")))
    assert [advice[number]["step"]["action"] for number in (1, 2, 3)] == ["none", "read contacts", "read contacts"]


def test_where_the_pushrods_length_moves_no_mark_no_line_is_requested(result: Any) -> None:
    advice, spread = result(WIDE, WIDE, rockers=PEDESTAL)
    assert spread["kind"] == "pass"
    assert {one["step"]["action"] for one in advice.values()} == {"none"}


def test_a_spread_that_is_surely_too_wide_names_its_ends(result: Any) -> None:
    _, spread = result(READ, READ.replace("9.400", "9.600"))
    assert spread["kind"] == "fail"
    assert "(cylinder 1 intake to cylinder 2 intake, least certain: cylinder" in spread["message"]
