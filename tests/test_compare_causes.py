"""What flipped a verdict: the engine, a limit, the stage, a concession, or several of them; told apart by judging."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from altered import FLAT, SIX, altered, as_it_is, shipped
from bench import judged, trials
from rewritten import Edit

from buildcheck.app.build_check import CheckedBuild, check_build
from buildcheck.core.problem import Place
from buildcheck.output.compare.causes import under_old_limits
from buildcheck.output.compare.changed_inputs import InputChange
from buildcheck.output.compare.changed_quantities import QuantityChange, QuantityChanges, quantity_changes
from buildcheck.output.compare.comparison import BuildChange
from buildcheck.output.compare.verdict_changes import VerdictChange, blocking, verdict_changes
from buildcheck.record import replace
from buildcheck.rules.rule import RuleSet

RULE = "coil-bind-clearance"
BIND = ("heads.yaml", "coil_bind_height: 1.060 in", "coil_bind_height: 1.190 in")
NAME = "purpose: Drives a dewatering pump at steady revolutions for days on end.\n"


def limits(at_least: str) -> Edit:
    return ("build.yaml", NAME, f"purpose: x\nlimits: {{{RULE}: {{at_least: {at_least}, because: a trial}}}}\n")


CONCEDED = (
    "concessions.yaml", "",
    f"[{{rule: {RULE}, valve: intake, up_to: 0.020 in, because: slow engine, accepted_by: foreman}}]\n",
)  # fmt: skip


def flipped(before: CheckedBuild, after: CheckedBuild, rule: str = RULE) -> list[VerdictChange]:
    between = check_build(under_old_limits(after.build, before.build), before.rules, {})
    return [one for one in verdict_changes(before, after, between) if one.rule == rule]


def result(
    tmp_path: Path, old: list[Edit], new: list[Edit], rule: str = RULE
) -> list[tuple[str, str, tuple[str, ...]]]:
    before, after = (
        altered(tmp_path / str(n), FLAT, *edits) if edits else as_it_is(FLAT) for n, edits in enumerate((old, new))
    )
    return [(one.before, one.after, one.causes) for one in flipped(before, after, rule)]


@pytest.mark.parametrize(
    ("old", "new", "flip"),
    [
        ([], [BIND], ("passes", "fails", ("inputs",))),
        ([BIND], [], ("fails", "passes", ("inputs",))),
        ([], [limits("0.200 in")], ("passes", "fails", ("limit",))),
        ([limits("0.200 in")], [], ("fails", "passes", ("limit",))),
        ([BIND], [BIND, CONCEDED], ("fails", "conceded", ("concession",))),
        ([BIND], [BIND, limits("0.020 in")], ("fails", "passes", ("limit",))),
    ],
)
def test_a_flip_has_its_own_cause(
    tmp_path: Path, old: list[Edit], new: list[Edit], flip: tuple[str, str, tuple[str, ...]]
) -> None:
    assert result(tmp_path, old, new) == [flip]


def test_a_rule_that_leans_on_anothers_limit_says_so(tmp_path: Path) -> None:
    """Lengths are cut by what the rules on marks let through."""
    tight = ("build.yaml", "limits:\n", "limits:\n  mark-centred: {at_most: 0.001 in, because: a trial}\n")
    before, after = as_it_is(SIX), altered(tmp_path / "new", SIX, tight)
    result = [(one.before, one.after, one.causes) for one in flipped(before, after, "length-orderable")]
    assert ("passes", "open, blocks", ("another limit",)) in result


@pytest.mark.parametrize(("swapped", "cause"), [(False, "rule removed"), (True, "rule added")])
def test_a_rule_that_came_or_went(swapped: bool, cause: str) -> None:
    full = as_it_is(FLAT)
    rules = RuleSet(tuple(rule for rule in shipped().rules.rules if rule.id != RULE))
    less = check_build(full.build, rules, {})
    found = flipped(*((less, full) if swapped else (full, less)))
    assert [one.causes for one in found] == [(cause,)]


@pytest.mark.parametrize(
    ("change", "cause"),
    [({"level": "warning"}, ("rule",)), ({"due": "closed"}, ("rule",)), ({"at_zero": "fails"}, ())],
)
def test_a_rule_that_judges_otherwise(tmp_path: Path, change: dict[str, str], cause: tuple[str, ...]) -> None:
    before = altered(tmp_path, FLAT, BIND)
    rules = tuple(replace(rule, **change) if rule.id == RULE else rule for rule in before.rules.rules)  # type: ignore[arg-type]
    found = flipped(before, check_build(before.build, RuleSet(rules), {}))
    assert [one.causes for one in found] == ([cause] if cause else [])


def test_the_gravest_valve_represents_those_that_flipped_alike(tmp_path: Path) -> None:
    worse = ("heads.yaml", "exhaust: {installed_height: 1.620 in", "exhaust: {installed_height: 1.480 in")
    before, after = as_it_is(FLAT), altered(tmp_path / "new", FLAT, BIND, worse)
    [found] = flipped(before, after)
    assert [one.valve for one in found.subjects] == ["intake", "exhaust"]
    assert (found.worst.valve, found.place.file, found.newly_blocks) == ("exhaust", "heads.yaml", True)


def test_what_blocks_again_is_reported_before_what_is_only_worse_or_better(tmp_path: Path) -> None:
    quench = ("heads.yaml", "gasket: {thickness: 0.040 in", "gasket: {thickness: 0.060 in")
    before = altered(tmp_path / "old", FLAT, ("marks.yaml", "turns_of_crank: 2", "turns_of_crank: 1"))
    after = altered(tmp_path / "new", FLAT, BIND, quench)
    between = check_build(under_old_limits(after.build, before.build), before.rules, {})
    found = verdict_changes(before, after, between)
    order = [one.rule for one in found if one.rule in (RULE, "quench", "crank-turned-twice")]
    assert order == [RULE, "quench", "crank-turned-twice"]


def test_a_build_without_a_state_before_shows_what_blocks(tmp_path: Path) -> None:
    found = blocking(altered(tmp_path, FLAT, BIND))
    assert [(one.rule, one.before, one.after, one.causes) for one in found] == [
        (RULE, "not judged", "fails", ("inputs",))
    ]


@pytest.mark.parametrize(
    ("height", "significant"),
    [("1.6199 in +/- 0.001 in", False), ("1.6180 in +/- 0.001 in", True), ("1.6199 in", True)],
)
def test_a_value_has_moved_when_both_uncertainties_leave_it_behind(
    tmp_path: Path, height: str, significant: bool
) -> None:
    edit = ("heads.yaml", "intake: {installed_height: 1.620 in", f"intake: {{installed_height: {height}")
    found = quantity_changes(as_it_is(FLAT), altered(tmp_path / "new", FLAT, edit))
    names = {one.name for one in found.significant}
    assert ("coil_bind_clearance" in names, found.insignificant > 0) == (significant, not significant)


def test_what_can_be_determined_no_longer_has_no_text_after(tmp_path: Path) -> None:
    gone = ("block.yaml", "rod_length: 5.500 in\n", "")
    found = quantity_changes(as_it_is(FLAT), altered(tmp_path / "new", FLAT, gone))
    assert {(one.name, one.after) for one in found.significant} == {("dynamic_compression_ratio", "")}
    assert all(one.before for one in found.significant)


LINES = ", shut_at: 0.1401 in, open_at: 0.165 in"


@pytest.mark.parametrize(("before", "after"), [("", LINES), (LINES, "")])
def test_a_height_error_moves_as_its_sign_comes_to_be_known(tmp_path: Path, before: str, after: str) -> None:
    mark = "length: 9.400 in, mark: {from: 0.140 in, to: 0.176 in}"
    old, new = (judged(tmp_path / (more or "none"), trials(mark + more)) for more in (before, after))
    [one] = [each for each in quantity_changes(old, new).significant if each.name == "height_error"]
    assert [text.endswith(" in, sign not known") for text in (one.before, one.after)] == [not before, not after]


NOTE = InputChange(Place("cam.yaml"), "note", "old", "new", remark=True)
FACT = InputChange(Place("cam.yaml"), "advance", "0 deg", "2 deg")


@pytest.mark.parametrize(
    ("more", "plain"),
    [
        ({}, True),
        ({"inputs": (NOTE,)}, True),
        ({"inputs": (NOTE, FACT)}, False),
        ({"folder_before": "engines/elsewhere"}, False),
        ({"order_before": ("12 of 9.450 in",)}, False),
        ({"quantity_changes": QuantityChanges((QuantityChange("lash", "Lash", (), "1", "2"),), 0)}, False),
        ({"quantity_changes": QuantityChanges((), 3)}, True),
        ({"before": None}, False),
        ({"after": None}, False),
    ],
)
def test_what_makes_a_change_worth_telling(more: dict[str, Any], plain: bool) -> None:
    same = as_it_is(FLAT)
    result = replace(BuildChange("engines/pump", "engines/pump", same, same), **more)
    assert (result.is_unchanged, result.name, result.newly_blocks) == (plain, "Flat four of the pump trailer", 0)
    assert result.verdicts == ("" if more.get("before", same) is None else "pass", "" if "after" in more else "pass")
