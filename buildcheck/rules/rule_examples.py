"""Runs a rule's own examples: the engine judges the values given, and each must end as the example says."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from buildcheck.core.problem import Place, Problem
from buildcheck.core.subject import BUILD, VALVE_TYPES, Subject
from buildcheck.core.value import Undecided, Value
from buildcheck.rules.judging import JudgingOptions, judge
from buildcheck.rules.limit_reader import kind_of_name
from buildcheck.rules.limits import Limits
from buildcheck.rules.results import Result
from buildcheck.rules.rule import Example, Rule
from buildcheck.rules.rule_reader import refused_words
from buildcheck.units.quantity import QuantityError, parse, show

VALVE_KEY = "valve"
"""In addition to names, an example may give its valve type; intake if left out."""


class ExampleSource:
    """What an example gives, to be judged instead of a build."""

    def __init__(self, rule: Rule, given: Mapping[str, Any], place: Place) -> None:
        self.rule = rule
        self.given = given
        self.place = place

    def lookup(self, name: str, subject: Subject) -> Value:
        """A name's value; Undecided where it is not given."""
        key = self._key(name, subject)
        if key is None:
            raise Undecided(f"{_filled(name, subject)} is not given", (self.place,))
        kind = kind_of_name(name)
        amount = parse(str(self.given[key]), "ratio" if kind == "count" else kind)
        parts = {name: float(amount.expanded) / 2} if amount.expanded else {}
        return Value(float(amount.si), kind, parts, (self.place,))

    def word(self, path: str, subject: Subject) -> str:
        """A field by which the rule or a variant of its fix applies; one that is not given is as the rule needs it."""
        key = self._key(path, subject)
        if key is not None:
            return str(self.given[key])
        return self.rule.applies[path][0] if path in self.rule.applies else ""

    def _key(self, name: str, subject: Subject) -> str | None:
        return next((key for key in (name, _filled(name, subject)) if key in self.given), None)


def run_examples(rule: Rule) -> list[Problem]:
    """Every example of a rule that ends otherwise than it says, or gives what the rule does not ask for."""
    return [
        Problem(example.place, f"examples[{index}]", message)
        for index, example in enumerate(rule.examples)
        for message in _complaints(rule, example)
    ]


def example_result(rule: Rule, example: Example) -> Result:
    """What the engine finds for an example, by the rule's own limits; QuantityError if a value cannot be read."""
    source = ExampleSource(rule, example.given, example.place)
    return judge(rule, Limits().in_force(rule), source, _subject(rule, example), JudgingOptions("closed"))


def _complaints(rule: Rule, example: Example) -> Iterator[str]:
    subject = _subject(rule, example)
    if subject.valve not in (None, *VALVE_TYPES):
        yield f"{VALVE_KEY} is {subject.valve}: write intake or exhaust"
        return
    for key in sorted(set(example.given) - _known_keys(rule, subject)):
        yield f"{key} is given, but the rule does not use it"
    for path in sorted(set(rule.applies) & set(example.given)):
        if refused := refused_words(path, (str(example.given[path]),)):
            yield refused
    try:
        result = example_result(rule, example)
    except QuantityError as error:
        yield str(error)
        return
    if result.kind != example.gives:
        yield f"is {result.kind}, expected {example.gives}: {_found(result)}"


def _found(result: Result) -> str:
    """What an example comes to, in inches: its value, or why it has none."""
    if result.value is not None:
        limits = ", ".join(f"{side} {show(one.si, one.kind, 'inch')}" for side, one in result.bounds.items())
        return f"{show(result.value.si, result.value.kind, 'inch')}, {limits}"
    return "a value is not given, or the rule does not apply"


def _subject(rule: Rule, example: Example) -> Subject:
    if rule.for_each == "build":
        return BUILD
    cylinder = 1 if rule.for_each in ("cylinder", "valve") else None
    valve = str(example.given.get(VALVE_KEY, "intake")) if _names_valves(rule) else None
    return Subject(cylinder, valve)


def _known_keys(rule: Rule, subject: Subject) -> set[str]:
    names = set(rule.names())
    return names | {_filled(name, subject) for name in names} | ({VALVE_KEY} if _names_valves(rule) else set())


def _names_valves(rule: Rule) -> bool:
    return rule.for_each in ("valve", "valve_type")


def _filled(name: str, subject: Subject) -> str:
    return name.replace("{valve}", subject.valve or "{valve}")
