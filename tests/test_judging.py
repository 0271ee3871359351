"""One rule on one value: guard bands, zero, contact, stages, and what cannot be determined."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, nan

import pytest

from buildcheck.build.build_folder import STAGES
from buildcheck.core.problem import Place
from buildcheck.core.reason import NotApplicableBecause
from buildcheck.core.subject import Subject
from buildcheck.core.value import Contradiction, NotApplicable, Undecided, Value
from buildcheck.output.finding_wording import result_text
from buildcheck.record import replace
from buildcheck.rules.judging import JudgingOptions, decision, judge
from buildcheck.rules.limits import Limits
from buildcheck.rules.results import Result
from buildcheck.rules.rule import Rule
from buildcheck.rules.rule_loader import load_rules

RULES = load_rules()[0]
HERE, CAM = Place("marks.yaml", 12, 5), Place("cam.yaml", 4, 13)
SUBJECT = Subject(1, "intake")
LOW, HIGH = Value(1.0, "length", {}, (CAM,)), Value(3.0, "length", {}, (CAM,))


@dataclass(frozen=True)
class Given:
    """Lifter preload and its maker's range, in units that do not matter."""

    value: Value | Exception
    system: str = "inch"

    def lookup(self, name: str, subject: Subject) -> Value:
        if name != "preload":
            return LOW if name.endswith("at_least") else HIGH
        if isinstance(self.value, Exception):
            raise self.value
        return self.value

    def word(self, path: str, subject: Subject) -> str:
        return "hydraulic flat"


def of(si: float, expanded: float = 0.0) -> Value:
    return Value(si, "length", {"reading": expanded / 2}, (HERE,))


def judged(value: Value | Exception, rule: Rule = RULES["preload-in-range"], stage: str = "ordering") -> Result:
    return judge(rule, Limits().in_force(rule), Given(value), SUBJECT, JudgingOptions(stage))


@pytest.mark.parametrize(
    ("si", "expanded", "kind", "margin"),
    [
        (2.0, 0.0, "pass", 1.0),
        (1.0, 0.0, "pass", 0.0),
        (3.0, 0.0, "pass", 0.0),
        (1.2, 0.2, "pass", 0.2),
        (1.2, 0.21, "open", 0.2),
        (2.9, 0.11, "open", 0.1),
        (0.9, 0.1, "open", -0.1),
        (0.9, 0.09, "fail", -0.1),
        (3.5, 0.4, "fail", -0.5),
        (2.0, 5.0, "open", 1.0),
        (0.0, 0.0, "fail", -1.0),
    ],
)
def test_range_with_guard_bands(si: float, expanded: float, kind: str, margin: float) -> None:
    result = judged(of(si, expanded))
    assert (result.kind, result.level) == (kind, "error" if kind == "fail" else "none")
    assert result.margin == pytest.approx(margin, abs=1e-12)
    assert result.places == (HERE, CAM)
    assert result.blocks == (kind != "pass")


@pytest.mark.parametrize("si", [nan, inf, -inf])
def test_what_is_no_number_never_passes(si: float) -> None:
    assert decision(of(1.0, 0.0), {"at_most": HIGH})[0] == "pass"
    with pytest.raises(Undecided):
        decision(of(si), {"at_least": LOW})


def test_the_limit_s_own_uncertainty_counts() -> None:
    limit = LOW._replace(parts={"limit": 0.15})
    assert decision(of(1.29), {"at_least": limit})[0] == "open"
    assert decision(of(1.31), {"at_least": limit})[0] == "pass"


def test_one_reading_in_value_and_limit_counts_once() -> None:
    """Value and limit move together: the reading they share cannot make their difference doubtful."""
    shared = {"reading": 5.0}
    assert decision(Value(2.1, "length", shared), {"at_least": Value(2.0, "length", shared)})[0] == "pass"


@pytest.mark.parametrize("stage", STAGES)
def test_a_failure_blocks_from_its_stage_on(stage: str) -> None:
    result = judged(of(9.0), stage=stage)
    due = STAGES.index(stage) >= STAGES.index("ordering")
    assert (result.kind, result.blocks, result.due_now) == ("fail", due, due)


@pytest.mark.parametrize(
    ("level", "strict", "blocks"),
    [("error", False, True), ("warning", False, False), ("warning", True, True), ("note", True, False)],
)
def test_which_levels_block(level: str, strict: bool, blocks: bool) -> None:
    rule = replace(RULES["preload-in-range"], level=level)
    result = judge(rule, Limits().in_force(rule), Given(of(9.0)), SUBJECT, JudgingOptions("ordering", strict))
    assert (result.level, result.blocks) == (level, blocks)


@pytest.mark.parametrize(
    ("level", "open_blocks", "blocks"),
    [("error", True, True), ("error", False, False), ("warning", True, False), ("note", True, False)],
)
def test_which_open_results_block(level: str, open_blocks: bool, blocks: bool) -> None:
    rule = replace(RULES["preload-in-range"], level=level, open_blocks=open_blocks)
    for value in (of(1.0, 0.5), Undecided("not measured", (HERE,))):
        result = judged(value, rule)
        assert (result.kind, result.level, result.blocks, result.places[0]) == ("open", "none", blocks, HERE)


@pytest.mark.parametrize("stage", STAGES)
def test_contradictions_block_at_every_stage_whatever_the_level(stage: str) -> None:
    rule = replace(RULES["preload-in-range"], level="note", open_blocks=False)
    result = judged(Contradiction("cannot both be true", (HERE,)), rule, stage)
    assert (result.kind, result.blocks, result.due_now) == ("open", True, True)


@pytest.mark.parametrize(
    ("at_zero", "si", "kind", "early"),
    [
        ("", 0.0, "open", False),
        ("fails", 0.0, "fail", False),
        ("fails", -0.1, "fail", False),
        ("fails", 1e-13, "fail", False),
        ("fails", 0.1, "open", False),
        ("contact", 0.0, "fail", True),
        ("contact", 0.1, "open", False),
    ],
)
def test_no_guard_band_softens_zero(at_zero: str, si: float, kind: str, early: bool) -> None:
    rule = replace(RULES["preload-in-range"], at_zero=at_zero)
    assert judged(of(si, 9.0), rule).kind == kind
    assert judged(of(si, 9.0), rule, "planning").blocks == early


def test_what_does_not_apply_never_blocks() -> None:
    result = judged(NotApplicable("solid lifters have lash"), stage="closed")
    assert (result.kind, result.blocks) == ("notApplicable", False)
    assert result.reason == NotApplicableBecause("solid lifters have lash")
    rule = replace(RULES["preload-in-range"], applies={"cam.lifter.type": ("solid flat",)})
    assert judged(of(9.0), rule).kind == "notApplicable"


def test_the_message_shows_value_limit_lack_and_cure() -> None:
    result = judged(Value(0.0003, "length", {"reading": 0.00001}, (HERE,)))
    message = result_text(RULES["preload-in-range"], result, "inch")
    assert message.startswith("lifter preload 0.0118 in ± 0.0008 in; minimum 39.370 in and")
    assert "39.358 in short). On the base circle, turn the adjuster" in message
