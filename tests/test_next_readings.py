"""Which valve to read next and why, when to stop, and the instrument that would decide an undecided rule."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from altered import EIGHT, SIX, altered, facts
from rewritten import Edit, copied

from buildcheck.advice.deciding_instrument import deciding_instruments
from buildcheck.advice.next_readings import next_readings
from buildcheck.cli.main import main
from buildcheck.core.subject import Subject
from buildcheck.core.value import Undecided
from buildcheck.ordering.assumed_risk import order_risk

CHANCE = "chance that any unmeasured valve needs another length"
WIDE: Edit = (
    "marks.yaml",
    "{length: 9.4255 in, mark: {from: 0.147 in",
    "{length: 9.4655 in, mark: {from: 0.147 in",
)
ONE_INTAKE: Edit = ("marks.yaml", "  - cylinder: 2\n    valve: intake", "  - cylinder: 4\n    valve: intake")


def advised(build: Path, capsys: pytest.CaptureFixture[str], command: str = "advise") -> dict[str, Any]:
    capsys.readouterr()
    assert main([command, str(build), "--format", "json"]) == 0
    data: dict[str, Any] = json.loads(capsys.readouterr().out)["next_readings"]
    return data


def test_the_reading_that_leaves_the_least_risk_comes_first(tmp_path: Path) -> None:
    known = facts(tmp_path, SIX)
    found = next_readings(known)
    assert [one.subject.text for one in found.ranked] == [
        "cylinder 5 intake", "cylinder 4 intake", "cylinder 2 exhaust", "cylinder 4 exhaust",
    ]  # fmt: skip
    after = [one.risk_after for one in found.ranked]
    assert after == sorted(after, key=lambda risk: risk or 0.0)
    assert all(risk is not None and risk < order_risk(known) for risk in after)
    assert found.may_stop
    assert not any(one.required or one.decides for one in found.ranked)


def test_a_risk_above_its_limit_names_the_reading_that_decides(tmp_path: Path) -> None:
    found = next_readings(altered(tmp_path, SIX, WIDE).facts)
    assert not found.may_stop
    assert found.risk is not None
    assert found.limit == 0.05
    assert found.risk > found.limit
    assert found.ranked[0].subject.valve == "exhaust"


def test_without_enough_readings_for_an_estimate_those_come_first(tmp_path: Path) -> None:
    found = next_readings(facts(tmp_path, EIGHT, ("marks.yaml", "valves:\n", "valves: []\nnote: |\n"))).ranked
    assert len(found) == 16
    assert all(one.required for one in found)
    assert [one.subject for one in found[:2]] == [Subject(1, "intake"), Subject(1, "exhaust")]


def test_the_sheet_numbers_the_readings_as_a_list(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["plan", str(copied(tmp_path, SIX))]) == 0
    section = capsys.readouterr().out.partition("## What to read first")[2].partition("\n## ")[0].splitlines()
    assert [line[:20] for line in section if line[:1].isdigit()] == [
        "1. cylinder 5 intake", "2. cylinder 4 intake", "3. cylinder 2 exhaus",
    ]  # fmt: skip


def test_plan_and_advise_show_the_same_and_when_to_stop(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    build = copied(tmp_path, SIX)
    data = advised(build, capsys)
    assert advised(build, capsys, "plan") == data
    assert data["may_stop"] is True
    assert data["readings"][0]["subject"] == {"cylinder": 5, "valve": "intake"}
    for command, *options in (("advise",), ("plan",), ("plan", "--format", "text")):
        assert main([command, str(build), *options]) == 0
        text = capsys.readouterr().out
        assert f"1. cylinder 5 intake: lowers the {CHANCE} from 1.9 % to 0.8 %." in text
        assert "You can order without them. Measure every valve before you assemble the engine." in text
    build = copied(tmp_path / "wide", SIX, WIDE)
    assert main(["advise", str(build)]) == 0
    assert f"Do not stop yet: the {CHANCE} is up to " in capsys.readouterr().out


def test_one_valve_alone_is_without_the_readings_of_others(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["advise", str(copied(tmp_path, SIX)), "--valve", "1/intake"]) == 0
    assert "Next readings" not in capsys.readouterr().out


@pytest.mark.parametrize(("gap", "instrument"), [("0.061 in", "dial indicator"), ("0.0602 in", "")])
def test_the_instrument_that_would_decide_is_named_with_its_reading(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], gap: str, instrument: str
) -> None:
    """Rocker to stud, minimum 0.060 in, by feeler to 0.003 in: a dial reads to 0.001 in; 0.0002 in is beyond any."""
    edits = [("clearances.yaml", f"rocker_to_stud: {old} in", f"rocker_to_stud: {gap}") for old in ("0.085", "0.082")]
    build = copied(tmp_path, SIX, *edits)
    one, other = advised(build, capsys)["instruments"]
    assert (one["rule"], one["instrument"], other["instrument"]) == ("rocker-to-stud", instrument, instrument)
    assert one["good_to"]["si"] == pytest.approx((float(gap[:-3]) - 0.060) * 0.0254, rel=1e-6)
    assert main(["advise", str(build)]) == 0
    what = f"a {instrument}, or any reading" if instrument else "a reading"
    assert f"{what} good to {one['good_to']['text']} decides it, first at {one['place']}." in capsys.readouterr().out


def test_readings_of_one_gauge_are_made_finer_together(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Two repeats, each to 0.6 mm: their range is known to 0.85 mm, and to 0.48 mm once each is good to 0.34 mm."""
    build = copied(tmp_path, EIGHT, ("marks.yaml", "0.01 mm, uncertainty: 0.03 mm", "0.01 mm, uncertainty: 0.60 mm"))
    found = [one for one in advised(build, capsys)["instruments"] if one["rule"] == "repeats-agree"]
    assert {one["instrument"] for one in found} == {"caliper"}
    feel = 0.06e-3
    [needed] = {
        round(one["good_to"]["si"] ** 2 * 2 + 2 * feel**2, 12) for one in found if one["subject"]["cylinder"] == 5
    }
    assert needed**0.5 == pytest.approx(0.5e-3 - 0.02e-3, rel=1e-3)


def test_a_length_too_uncertain_for_any_pushrod_names_the_gauge(tmp_path: Path) -> None:
    """Preload 0.5 to 1.5 mm and pushrods to 0.05 mm leave 0.497 mm for the uncertainty of a length."""
    coarse = ("marks.yaml", "0.01 mm, uncertainty: 0.03 mm", "0.01 mm, uncertainty: 0.60 mm")
    with pytest.raises(Undecided, match=r"a finer gauge, good to 0\.497 mm, such as a caliper"):
        facts(tmp_path, EIGHT, coarse).get("chosen_length", Subject(2, "intake"))


def test_what_more_valves_decide_is_no_matter_of_an_instrument(tmp_path: Path) -> None:
    checked = altered(tmp_path, SIX)
    assert [one.rule for one in checked.results if one.kind == "open" and one.value] == ["length-spread-narrow"] * 2
    assert list(deciding_instruments(checked.facts, checked.results)) == []


def test_while_a_rule_fails_the_advice_does_not_permit_an_order(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    off = ("marks.yaml", "mark: {from: 0.145 in, to: 0.172 in}", "mark: {from: 0.005 in, to: 0.032 in}")
    assert main(["advise", str(copied(tmp_path, SIX, off))]) == 0
    text = capsys.readouterr().out
    assert "Next readings after the correction, the most useful first:" in text
    assert "Do not order yet. Correct the errors that 'check' shows first, then check again." in text
    assert "You can order" not in text
