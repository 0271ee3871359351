"""A rule's own examples: one that ends otherwise, or gives what nobody requested, is a problem at its line."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from buildcheck.core.problem import Problem
from buildcheck.record import replace
from buildcheck.rules.rule import Example
from buildcheck.rules.rule_examples import run_examples
from buildcheck.rules.rule_loader import load_rules

RULE = """\
id: deck-gap
title: Gap
for_each: valve
applies: {rockers.mount: [pedestal, stud]}
quantity: clearances.{valve}.piston_to_valve
at_least: {intake: 0.080 in, exhaust: 0.100 in}
level: warning
due: ordering
open: allowed
why: Metal meets.
fix: Take metal off.
source: common practice, no published source
examples:
  - {given: {clearances.intake.piston_to_valve: 0.090 in}, gives: pass}
  - {given: {clearances.intake.piston_to_valve: 0.070 in}, gives: fail}
"""
Complaints = Callable[[str], list[Problem]]


@pytest.fixture
def complaints(tmp_path: Path) -> Complaints:
    def run(example: str) -> list[Problem]:
        (tmp_path / "deck-gap.yaml").write_text(f"{RULE}  - {example}\n", encoding="utf-8")
        rules, problems = load_rules([(tmp_path, "shop")])
        assert problems == ()
        return run_examples(rules["deck-gap"])

    return run


@pytest.mark.parametrize(
    "example",
    [
        "{given: {valve: exhaust, clearances.exhaust.piston_to_valve: 0.090 in}, gives: fail}",
        "{given: {valve: exhaust, clearances.exhaust.piston_to_valve: 2.54 mm}, gives: pass}",
        "{given: {'clearances.{valve}.piston_to_valve': 0.081 in +/- 0.002 in}, gives: open}",
        "{given: {}, gives: open}",
        "{given: {rockers.mount: shaft}, gives: notApplicable}",
        "{given: {rockers.mount: stud, clearances.intake.piston_to_valve: 0.090 in}, gives: pass}",
    ],
)
def test_an_example_that_ends_as_it_says_is_no_problem(complaints: Complaints, example: str) -> None:
    assert complaints(example) == []


def test_an_example_that_ends_otherwise_is_reported_at_its_line(complaints: Complaints) -> None:
    [problem] = complaints("{given: {clearances.intake.piston_to_valve: 0.070 in}, gives: pass}")
    assert (str(problem.place), problem.path) == ("shop/deck-gap.yaml:16:5", "examples[2]")
    assert problem.message.startswith("is fail, expected pass: ")
    assert "0.0700 in" in problem.message


@pytest.mark.parametrize(
    ("example", "message"),
    [
        (
            "{given: {clearances.intake.piston_to_head: 0.09 in}, gives: open}",
            "clearances.intake.piston_to_head is given, but the rule does not use it",
        ),
        (
            "{given: {clearances.exhaust.piston_to_valve: 0.09 in}, gives: open}",
            "clearances.exhaust.piston_to_valve is given, but the rule does not use it",
        ),
        ("{given: {valve: inlet}, gives: open}", "valve is inlet: write intake or exhaust"),
        (
            "{given: {clearances.intake.piston_to_valve: 0.09}, gives: pass}",
            "'0.09' has no unit: write a length such as 0.560 in or 14.2 mm",
        ),
    ],
)
def test_an_example_that_cannot_be_judged_says_why(complaints: Complaints, example: str, message: str) -> None:
    assert [problem.message for problem in complaints(example)] == [message]


def test_an_example_of_the_build_names_no_valve() -> None:
    quench = load_rules()[0]["quench"]
    example = Example({"valve": "intake", "quench": "0.042 in"}, "pass", quench.place)
    [problem] = run_examples(replace(quench, examples=(example,)))
    assert problem.message == "valve is given, but the rule does not use it"


def test_a_word_that_the_field_never_holds_is_a_problem(complaints: Complaints) -> None:
    [problem] = complaints("{given: {rockers.mount: stand}, gives: notApplicable}")
    assert (problem.place.line, "did you mean pedestal?" in problem.message) == (16, True)
