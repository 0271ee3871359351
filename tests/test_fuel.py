"""Limits that hold for one fuel only, and valves without stem seals."""

from __future__ import annotations

from pathlib import Path

import pytest
from rewritten import Edit, judged_by, rewritten

from buildcheck.app.build_check import CheckedBuild
from buildcheck.output.finding_wording import message

DEMO = "example_build"
RULES = ("piston-to-valve", "quench", "compression-plausible")


def runs_on(fuel: str) -> Edit:
    return "block.yaml", "cylinders: 6\n", f"cylinders: 6\nfuel: {fuel}\n"


def without_seal(retainer_to_seal: str) -> tuple[Edit, Edit]:
    tip = "    tip_diameter: 0.310 in +/- 0.002 in"
    reading = "clearances.yaml", "retainer_to_seal: 0.575 in", f"retainer_to_seal: {retainer_to_seal}"
    return ("heads.yaml", tip, f"    seal: none\n{tip}"), reading


def kinds(found: CheckedBuild) -> list[str]:
    """What the three rules come to, the same for both valve types."""
    return ["/".join(sorted({one.kind for one in judged_by(found, rule)})) for rule in RULES]


@pytest.mark.parametrize(
    ("fuel", "expected"),
    [
        ("petrol", ["pass", "pass", "pass"]),
        ("gas", ["pass", "open", "open"]),
        ("diesel", ["open", "open", "open"]),
    ],
)
def test_limits_of_another_fuel_decide_nothing(tmp_path: Path, fuel: str, expected: list[str]) -> None:
    assert kinds(rewritten(tmp_path, DEMO, runs_on(fuel))) == expected


def test_the_limit_of_the_maker_decides(tmp_path: Path) -> None:
    own = "limits:\n  piston-to-valve: {at_least: 1.0 mm, because: the manual of the maker}\n"
    found = rewritten(tmp_path, DEMO, runs_on("diesel"), ("build.yaml", "limits:\n", own))
    assert kinds(found)[0] == "pass"


def test_an_undecided_limit_blocks_from_its_stage_on(tmp_path: Path) -> None:
    found = rewritten(tmp_path, DEMO, runs_on("diesel"), stage="assembled")
    [one, _] = judged_by(found, "piston-to-valve")
    assert one.blocks
    expected = "The limit of piston-to-valve holds for petrol and gas, this engine runs on diesel: enter the maker's"
    assert expected in message(found, one)


def test_contact_is_contact_with_any_fuel(tmp_path: Path) -> None:
    touching = "clearances.yaml", "piston_to_valve: {value: 0.135 in", "piston_to_valve: {value: 0 in"
    found = rewritten(tmp_path, DEMO, runs_on("diesel"), touching)
    assert [one.kind for one in judged_by(found, "piston-to-valve") if one.blocks] == ["fail"]


def test_without_a_seal_the_guide_is_the_limit(tmp_path: Path) -> None:
    found = rewritten(tmp_path, DEMO, *without_seal("0.46 in"))
    [one] = [one for one in judged_by(found, "retainer-to-seal") if one.kind == "fail"]
    assert "to the top of the guide, no seal is fitted" in message(found, one)
    assert one.fix is not None
    assert "seal" not in one.fix.text


def test_without_a_seal_more_room_is_usual(tmp_path: Path) -> None:
    found = rewritten(tmp_path, DEMO, *without_seal("2.2 in"))
    assert [one.kind for one in judged_by(found, "values-agree")] == ["pass"]
