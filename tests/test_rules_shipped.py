"""The shipped rules: they load, they hold their limits, their examples end as they say, and they say why."""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import cache
from pathlib import Path

import pytest

from buildcheck.core.package_data import rules_dir
from buildcheck.output.correction_wording import fix_text
from buildcheck.rules.rule import Rule
from buildcheck.rules.rule_examples import run_examples
from buildcheck.rules.rule_loader import load_rules
from buildcheck.schema.validation import validate
from buildcheck.yamlio.documents import read_file
from buildcheck.yamlio.nodes import Node

RULES, PROBLEMS = load_rules()
FILES = sorted(rules_dir().rglob("*.yaml"))
AREAS = {"asbuilt", "clearances", "compression", "lengths", "marks", "motion", "parts", "springs", "team"}
UNPUBLISHED = "common practice, no published source"
HANDBOOK = (
    "Callister, Fundamentals of Materials Science and Engineering, 3rd ed, Table B.6, for the coefficients (grey iron, "
    "steels and titanium from memory)"
)
PUBLISHED = {
    "lash-hot": f"{HANDBOOK}; the limit is {UNPUBLISHED}",
    "length-outlier": "NIST/SEMATECH e-Handbook 1.3.5.17.1 (Grubbs) and 1.3.5.17.3 (Rosner 1983, from memory)",
    "preload-hot": f"{HANDBOOK}; Bansal, Strength of Materials, Problem 1.28, p. 43",
    "repeats-as-usual": "NIST/SEMATECH e-Handbook 1.3.5.9 (F test, from memory)",
}
ABBREVIATIONS = {"C", "NIST", "SEMATECH", "TM"}

# the limits of the trade, each common practice, no published source, but for those in PUBLISHED:
# id -> level, due, what an open result does, limits
LIMITS = {
    "adjuster-in-range": ("error", "ordering", "blocks", {"at_most": "rockers.adjuster_range"}),
    "assumed-valves-safe": ("error", "ordering", "blocks", {"at_most": "0.05"}),
    "bank-step": ("warning", "ordering", "allowed", {"at_most": "0.020 in"}),
    "bolt-preload": (
        "warning",
        "ordering",
        "allowed",
        {"at_least": "cam.lifter.preload.at_least", "at_most": "cam.lifter.preload.at_most"},
    ),
    "cam-installed-as-card": ("warning", "assembled", "allowed", {"at_most": "2 deg"}),
    "coil-bind-clearance": ("error", "ordering", "blocks", {"at_least": "0.060 in"}),
    "compression-plausible": ("note", "ordering", "allowed", {"at_least": "6", "at_most": "13"}),
    "concession-in-use": ("warning", "planning", "allowed", {"at_most": "0"}),
    "crank-turned-twice": ("warning", "ordering", "allowed", {"at_least": "2"}),
    "delivered-as-ordered": ("error", "assembled", "allowed", {"at_most": "delivery_tolerance"}),
    "delivered-enough": ("error", "assembled", "blocks", {"at_most": "0"}),
    "delivered-run-out": ("warning", "assembled", "allowed", {"at_most": "0.008 in"}),
    "drops-agree": ("error", "assembled", "allowed", {"at_most": "0 in"}),
    "events-plausible": ("warning", "measuring", "allowed", {"at_most": "0"}),
    "every-valve-measured": ("error", "assembled", "blocks", {"at_least": "1"}),
    "fixed-mount-mark-moved": ("error", "ordering", "allowed", {"at_most": "0"}),
    "gauge-fine-enough": ("warning", "ordering", "allowed", {"at_most": "0.25 * stock_step"}),
    "geometry-at-mid-lift": ("error", "ordering", "allowed", {"at_most": "0.050 in"}),
    "geometry-fixed-mount": ("warning", "ordering", "allowed", {"at_most": "0.050 in"}),
    "lash-hot": ("warning", "assembled", "allowed", {"at_least": "lash_tolerance"}),
    "lash-in-range": (
        "error",
        "assembled",
        "blocks",
        {"at_least": "cam.{valve}.lash - lash_tolerance", "at_most": "cam.{valve}.lash + lash_tolerance"},
    ),
    "length-orderable": ("error", "ordering", "blocks", {"at_most": "0 in"}),
    "length-outlier": ("warning", "ordering", "allowed", {"at_most": "0"}),
    "length-spread": ("error", "ordering", "blocks", {"at_most": "0.100 in"}),
    "length-spread-narrow": ("warning", "ordering", "allowed", {"at_most": "0.030 in"}),
    "lift-lost": ("warning", "assembled", "allowed", {"at_most": "0.05 * cam.{valve}.lobe_lift * rockers.ratio"}),
    "lift-readings-in-order": ("error", "planning", "allowed", {"at_most": "0"}),
    "lines-inside-mark": ("warning", "ordering", "allowed", {"at_most": "0 in"}),
    "lobe-separation-as-card": ("warning", "assembled", "allowed", {"at_most": "1.5 deg"}),
    "mark-across": ("warning", "ordering", "allowed", {"at_most": "0.030 in"}),
    "mark-centred": ("error", "ordering", "blocks", {"at_most": "tip_diameter / 6"}),
    "mark-full-contact": ("note", "ordering", "allowed", {"at_least": "0.25"}),
    "mark-near-centre": ("warning", "ordering", "allowed", {"at_most": "0.030 in"}),
    "mark-on-tip": ("error", "ordering", "blocks", {"at_least": "0.030 in * roller_tip"}),
    "mark-position-hint": ("note", "ordering", "allowed", {"at_most": "0.030 in"}),
    "mark-trusted": ("error", "planning", "allowed", {"at_most": "0"}),
    "mark-width": ("warning", "ordering", "allowed", {"at_most": "mark_width_least + 0.030 in"}),
    "measured-on-heel": ("error", "ordering", "allowed", {"at_least": "10 deg"}),
    "off-centre-at-narrowest": ("warning", "ordering", "allowed", {"at_most": "tip_diameter / 6"}),
    "oil-seen": ("error", "assembled", "blocks", {"at_most": "0"}),
    "open-force": ("warning", "ordering", "allowed", {"at_most": "open_force_most"}),
    "parts-consistent": ("error", "planning", "blocks", {"at_most": "0"}),
    "piston-gap-over-curve": ("error", "assembled", "blocks", {"at_least": "piston_gap_limit"}),
    "piston-to-valve": ("error", "assembled", "blocks", {"at_least": "intake 0.080 in, exhaust 0.100 in"}),
    "predicted-agrees": ("warning", "ordering", "allowed", {"at_most": "0 in"}),
    "preload-hot": (
        "warning",
        "assembled",
        "allowed",
        {"at_least": "cam.lifter.preload.at_least", "at_most": "cam.lifter.preload.at_most"},
    ),
    "preload-in-range": (
        "error",
        "ordering",
        "blocks",
        {"at_least": "cam.lifter.preload.at_least", "at_most": "cam.lifter.preload.at_most"},
    ),
    "pushrod-buckling": ("warning", "ordering", "allowed", {"at_least": "3"}),
    "pushrod-to-head": ("error", "assembled", "blocks", {"at_least": "0.030 in"}),
    "quench": ("note", "ordering", "allowed", {"at_least": "0.035 in", "at_most": "0.060 in"}),
    "read-again-after-change": ("error", "assembled", "blocks", {"at_most": "0"}),
    "reading-remarks": ("note", "measuring", "allowed", {"at_most": "0"}),
    "repeats-agree": ("error", "ordering", "allowed", {"at_most": "0.020 in"}),
    "repeats-as-usual": ("warning", "ordering", "allowed", {"at_most": "0"}),
    "retainer-to-seal": ("error", "ordering", "blocks", {"at_least": "0.050 in"}),
    "rocker-ratio-as-stated": ("warning", "assembled", "allowed", {"at_most": "0.05"}),
    "rocker-to-retainer": ("error", "assembled", "blocks", {"at_least": "0.040 in"}),
    "rocker-to-stud": ("error", "assembled", "blocks", {"at_least": "0.060 in"}),
    "rocker-torque": (
        "error",
        "assembled",
        "allowed",
        {"at_least": "rocker_torque_least", "at_most": "rocker_torque_most"},
    ),
    "running-parts-measured": ("error", "assembled", "blocks", {"at_most": "0"}),
    "seat-force": (
        "warning",
        "ordering",
        "allowed",
        {"at_least": "seat_force_least", "at_most": "seat_force_most"},
    ),
    "second-cylinder-checked": ("error", "ordering", "blocks", {"at_most": "0"}),
    "setting-recorded": ("error", "assembled", "blocks", {"at_most": "0"}),
    "signed": ("error", "closed", "blocks", {"at_least": "1"}),
    "solid-height-agrees": ("warning", "ordering", "allowed", {"at_most": "heads.springs.{valve}.wire / 2"}),
    "spring-load-loss": ("warning", "ordering", "allowed", {"at_most": "0.10"}),
    "spring-rate-agrees": ("warning", "ordering", "allowed", {"at_most": "0.10"}),
    "tdc-by-stop": ("warning", "measuring", "allowed", {"at_most": "0"}),
    "thread-engagement": ("error", "assembled", "blocks", {"at_least": "engagement_least"}),
    "torque-recorded": ("warning", "assembled", "allowed", {"at_most": "0"}),
    "trial-consistency": ("error", "ordering", "allowed", {"at_most": "0"}),
    "values-agree": ("warning", "planning", "allowed", {"at_most": "0"}),
    "warm-checked": ("error", "closed", "blocks", {"at_least": "1"}),
}
AT_ZERO = {
    "coil-bind-clearance": "contact",
    "lash-hot": "fails",
    "mark-on-tip": "fails",
    "piston-gap-over-curve": "contact",
    "piston-to-valve": "contact",
    "pushrod-to-head": "contact",
    "retainer-to-seal": "contact",
    "rocker-to-retainer": "contact",
    "rocker-to-stud": "contact",
}


@cache
def _root(path: Path) -> Node:
    root = read_file(path, path.name).root
    assert root is not None
    return root


def _with(root: Node, key: str, node: Node) -> Node:
    return root._replace(value={**root.entries, key: node})


def _without(root: Node, key: str) -> Node:
    entries = {name: node for name, node in root.entries.items() if name != key}
    return root._replace(value=entries, key_positions={name: root.key_positions[name] for name in entries})


def test_the_shipped_rules_load_without_a_problem() -> None:
    assert PROBLEMS == ()


def test_every_rule_file_is_loaded_and_is_in_a_known_area() -> None:
    assert [path.stem for path in sorted(FILES, key=lambda path: path.stem)] == [rule.id for rule in RULES.rules]
    assert {path.parent.name for path in FILES} == AREAS, "write a new area into AREAS in tests/test_rules_shipped.py"


def test_no_rule_is_missing_from_the_table_of_limits() -> None:
    where = "write each rule's level, stage and limits into LIMITS in tests/test_rules_shipped.py, in order of the ids"
    assert [rule.id for rule in RULES.rules] == list(LIMITS), where


def test_level_stage_and_limits_are_those_of_the_trade() -> None:
    found = {
        rule.id: (
            rule.level,
            rule.due,
            "blocks" if rule.open_blocks else "allowed",
            {side: limit.text for side, limit in rule.bounds.items()},
        )
        for rule in RULES.rules
    }
    assert found == LIMITS
    at_zero = {rule.id: rule.at_zero for rule in RULES.rules if rule.at_zero}
    assert at_zero == AT_ZERO, "write it into AT_ZERO in tests/test_rules_shipped.py"


def test_every_example_ends_as_it_says() -> None:
    assert [problem for rule in RULES.rules for problem in run_examples(rule)] == []


def test_examples_pass_fail_stay_open_and_do_not_apply() -> None:
    given = {rule.id: {example.gives for example in rule.examples} for rule in RULES.rules}
    expected = {"pass", "fail", "open"}
    assert given == {rule.id: expected | ({"notApplicable"} if rule.applies else set()) for rule in RULES.rules}


def test_only_errors_may_block_while_open() -> None:
    assert [rule.id for rule in RULES.rules if rule.open_blocks and rule.level != "error"] == []


def test_the_source_is_published_or_said_not_to_be() -> None:
    where = "write a published source into PUBLISHED in tests/test_rules_shipped.py"
    found = {rule.id: rule.source for rule in RULES.rules if rule.source != UNPUBLISHED}
    assert found == PUBLISHED, where


def test_the_run_out_allowed_is_the_figure_of_a_manual() -> None:
    """US Department of the Army, TM 9-2815-253-24, para 3-26.2: .008 in (0.2 mm)."""
    limit = RULES["delivered-run-out"].bounds["at_most"]
    assert (limit.text, limit.metric.text if limit.metric is not None else "") == ("0.008 in", "0.2 mm")


def texts(rule: Rule) -> list[str]:
    return [text for text in (rule.why, *map(fix_text, rule.fixes), rule.caution) if text]


def test_text_is_short_and_ends_as_a_sentence() -> None:
    assert [rule.title for rule in RULES.rules if len(rule.title) > 70 or rule.title.endswith(".")] == []
    every = [text for rule in RULES.rules for text in texts(rule)]
    assert [text for text in every if not text.endswith(".") or len(re.findall(r"\.(?= |$)", text)) > 3] == []


def test_nothing_is_named_that_could_be_a_brand() -> None:
    every = [text for rule in RULES.rules for text in (rule.title, *texts(rule))]
    within = [re.sub(r"(?:^|[.:?!] )\w+", "", text) for text in every]
    assert {word for text in within for word in re.findall(r"\b[A-Z]\w*|[®™]", text)} <= ABBREVIATIONS


def test_titles_differ() -> None:
    titles = [rule.title for rule in RULES.rules]
    assert len(set(titles)) == len(titles)


def refused(change: Callable[[Node], Node]) -> dict[str, list[tuple[str, str]]]:
    """For each rule file, the problems that it has after a change: path and message."""
    problems = {path.stem: validate("rule", change(_root(path)), path.name) for path in FILES}
    return {name: [(one.path, one.message) for one in found] for name, found in problems.items()}


@pytest.mark.parametrize("key", ["why", "fix", "source", "examples"])
def test_a_rule_without_its_reasons_is_refused(key: str) -> None:
    found = refused(lambda root: _without(root, key))
    assert {name: [key in message for _, message in own] for name, own in found.items()} == {
        name: [True] for name in found
    }


@pytest.mark.parametrize("key", ["why", "fix", "source"])
def test_a_rule_with_an_empty_reason_is_refused(key: str) -> None:
    found = refused(lambda root: _with(root, key, root.entries[key]._replace(value="  ", text="  ")))
    assert {name: [path for path, _ in own] for name, own in found.items()} == {name: [key] for name in found}


@pytest.mark.parametrize("gives", ["pass", "fail"])
def test_a_rule_without_a_passing_or_a_failing_example_is_refused(gives: str) -> None:
    def without(root: Node) -> Node:
        examples = root.entries["examples"]
        kept = [item for item in examples.items if item.word("gives") != gives]
        return _with(root, "examples", examples._replace(value=kept))

    found = refused(without)
    shown = {name: [(path, gives in message) for path, message in own] for name, own in found.items()}
    assert shown == {name: [("examples", True)] for name in found}
