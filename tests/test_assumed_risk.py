"""The risk of valves that were not measured: in rule, order, report, JSON and verdict; which reading lowers it most."""

from __future__ import annotations

import json
from math import hypot, sqrt
from pathlib import Path
from typing import Any

import pytest
from altered import EIGHT, SIX, altered, facts
from numpy import mean, var
from rewritten import Edit, judged_by, kinds
from scipy.stats import t

from buildcheck.cli.main import main
from buildcheck.core.subject import BUILD, Subject
from buildcheck.core.value import NotApplicable
from buildcheck.formulas.assumed_valves import misfit_probability
from buildcheck.ordering.assumed_risk import assumed_groups, group_risk, next_reading, order_risk
from buildcheck.output.finding_wording import message
from buildcheck.output.wording import outcome_text

RULE = "assumed-valves-safe"
INCH = 0.0254


def without(cylinder: int, valve: str) -> Edit:
    """The demo with the trials of one valve void."""
    first = {
        (2, "intake"): "{length: 9.4250 in, mark: {from: 0.138",
        (3, "intake"): "{length: 9.4250 in, mark: {from: 0.148",
    }
    text = first[cylinder, valve]
    return ("marks.yaml", text, text.replace("{length", "{void: smeared, length"))


def wide(length: str) -> Edit:
    """Cylinder 6 exhaust, whose last trial is 9.4255 in long, of another length."""
    return ("marks.yaml", "{length: 9.4255 in, mark: {from: 0.147 in", f"{{length: {length}, mark: {{from: 0.147 in")


def test_the_demo_may_assume_four_valves_and_the_risk_is_that_of_its_two_types(tmp_path: Path) -> None:
    known = facts(tmp_path, SIX)
    intake, exhaust = assumed_groups(known)
    assert [one.valve for one in (intake, exhaust)] == ["intake", "exhaust"]
    assert (intake.readings, intake.freedom, len(intake.ordered)) == (4, 3.0, 2)
    [(_, length), _] = intake.ordered
    room = intake.lower, intake.upper
    each = misfit_probability(length, *room, intake.mean, intake.deviation, intake.freedom, intake.readings)
    assert group_risk(intake) == pytest.approx(2 * each)
    assert order_risk(known) == pytest.approx(group_risk(intake) + group_risk(exhaust))
    assert 0.01 < order_risk(known) < 0.02


def test_the_figure_is_the_same_in_verdict_report_and_json(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    found = altered(tmp_path, SIX)
    risk = found.facts.get("order_risk", BUILD)
    exact = order_risk(found.facts)
    quoted = f"below {-(-exact * 1000 // 1) / 10:g} %"
    assert 0 <= risk.si - exact < 0.001
    assert risk.remark == quoted
    assert f"(chance that any unmeasured valve needs another length: {quoted}, allowed up to 5 %)" in outcome_text(
        found
    )
    assert main(["report", str(tmp_path / "build")]) == 0
    report = (tmp_path / "build" / "REPORT.md").read_text(encoding="utf-8")
    assert f"**Chance that any unmeasured valve needs another length: {quoted}.** Estimated from" in report
    assert order_of(tmp_path / "build", capsys)["risk"] == {"si": exact, "text": quoted}


def order_of(build: Path, capsys: pytest.CaptureFixture[str]) -> dict[str, Any]:
    capsys.readouterr()
    main(["check", str(build), "--format", "json"])
    [checked] = json.loads(capsys.readouterr().out)["builds"]
    order: dict[str, Any] = checked["order"]
    return order


def test_lengths_that_differ_much_leave_the_order_undecided_and_name_a_reading(tmp_path: Path) -> None:
    found = altered(tmp_path, SIX, wide("9.4655 in"))
    [result] = judged_by(found, RULE)
    assert (result.kind, result.blocks, result.value) == ("open", True, None)
    text = message(found, result)
    assert text.startswith("Chance that any unmeasured valve needs another length: up to ")
    assert text.endswith(" %; maximum 5 %. Undecided: measure cylinder 2 exhaust next.")
    assert order_risk(found.facts) > 0.05


def test_two_readings_of_a_type_are_too_few_to_assume_the_rest(tmp_path: Path) -> None:
    found = altered(tmp_path, SIX, without(2, "intake"), without(3, "intake"))
    [result] = judged_by(found, RULE)
    assert (result.kind, result.blocks) == ("open", True)
    assert "To estimate how much intake valves differ, 3 measured lengths are required" in message(found, result)
    assert next_reading(found.facts) in {Subject(number, "intake") for number in (2, 3, 4, 5)}


def test_before_an_order_is_due_it_blocks_nothing(tmp_path: Path) -> None:
    found = altered(tmp_path, SIX, wide("9.4655 in"), stage="measuring")
    assert not any(one.blocks for one in judged_by(found, RULE))


def test_where_all_are_measured_nothing_is_assumed(tmp_path: Path) -> None:
    known = facts(tmp_path, "tests/builds/flat_four_solid")
    with pytest.raises(NotApplicable, match="every valve is measured"):
        known.get("order_risk", BUILD)


def test_each_bank_has_its_own_mean_and_both_share_the_deviation_within_them(tmp_path: Path) -> None:
    groups = assumed_groups(facts(tmp_path, EIGHT))
    left, right = [one for one in groups if one.valve == "exhaust"]
    assert left.mean != right.mean
    assert (left.deviation, left.freedom) == (right.deviation, right.freedom)
    assert left.freedom == 4.0


def test_a_limit_of_the_build_counts_up_to_the_loosest(tmp_path: Path) -> None:
    limits = "limits:\n  assumed-valves-safe: {at_most: %s, because: a spare engine stands by}\n"
    strict = ("build.yaml", "limits:\n", limits % "0.01")
    assert kinds(altered(tmp_path / "strict", SIX, strict), RULE) == {"open"}
    found = altered(tmp_path / "loose", SIX, ("build.yaml", "limits:\n", limits % "0.2"))
    assert ["may be set to 0.10 at the loosest" in one.message for one in found.problems] == [True]


def test_the_risk_of_a_fixed_mount_is_that_of_scipy(tmp_path: Path) -> None:
    """p = T(-(b - (x - m))/g) + T(-(c + (x - m))/g), g = s * sqrt(1 + 1/n), s within banks.

    The vee of eight: preload 0.5 to 1.5 mm, aim 1.0 mm; caliper to 0.03 mm; pushrods to 0.05 mm.
    """
    known = facts(tmp_path, EIGHT)
    room, shared, total = 0.5e-3, hypot(0.03e-3, 0.05e-3), 0.0
    for valve in ("intake", "exhaust"):
        lengths = [
            [known.get("length_asked", Subject(number, valve)).si for number in bank] for bank in ((1, 2, 3), (5, 6, 7))
        ]
        s = sqrt((var(lengths[0], ddof=1) + var(lengths[1], ddof=1)) / 2)
        for bank, number in zip(lengths, (4, 8), strict=True):
            x, m, g = known.get("chosen_length", Subject(number, valve)).si, mean(bank), s * sqrt(1 + 1 / 3)
            total += t.cdf(-(room - shared - (x - m)) / g, 4) + t.cdf(-(room - shared + (x - m)) / g, 4)
    assert order_risk(known) == pytest.approx(total, rel=1e-6)
