"""Explains a rule: what it holds, why, the limits in force and who set them, its examples, the cure."""

from __future__ import annotations

from collections.abc import Iterator

from buildcheck.build.facts import Quantity
from buildcheck.build.named_limits import NAMED_LIMITS, NOTHING
from buildcheck.core.value import Value
from buildcheck.output.correction_wording import fix_text
from buildcheck.output.value_wording import value_text
from buildcheck.registry.quantity_table import QUANTITIES
from buildcheck.rules.expression import Literal
from buildcheck.rules.limit_reader import kind_of_name
from buildcheck.rules.limits import Limits
from buildcheck.rules.rule import Example, Limit, Rule
from buildcheck.rules.rule_diff import differences
from buildcheck.units.quantity import QuantityError, parse

_ORIGINS = {
    "family": "the family's limit",
    "shipped rule": "the shipped rule's",
    "rule": "set by the rule",
    "team": "set by the team in buildcheck.yaml",
    "build": "set by the build",
}

RESULT_WORDS = {"pass": "passed", "fail": "failed", "open": "undecided", "notApplicable": "not applicable"}
"""A result's kind -> in words."""


def explain_rule(rule: Rule, limits: Limits) -> Iterator[str]:
    """All there is to know of a rule, line by line."""
    yield f"{rule.id}: {rule.title}"
    yield f"  {rule.level} for each {rule.for_each.replace('_', ' ')}, from stage '{rule.due}' on"
    yield f"  file: {rule.place.file}{' (shipped)' if rule.shipped else ''}"
    if rule.replaces is not None:
        changes = ", ".join(one.text for one in differences(rule.replaces, rule)) or "in its text alone"
        yield f"  replaces {rule.replaces.place.file} (shipped): {changes}"
    yield from applies_lines(rule)
    yield f"judges: {rule.quantity_text}"
    yield from _named_quantities(rule)
    yield from limit_lines(rule, limits)
    yield from bound_lines(rule, limits.system)
    yield from undecided_lines(rule)
    yield from control_lines(rule)
    yield f"why: {rule.why}"
    yield from fix_lines(rule)
    if rule.caution:
        yield f"caution: {rule.caution}"
    yield f"source: {rule.source}"
    yield "examples:"
    yield from (f"  {_example(example, limits.system)}" for example in rule.examples)


def applies_lines(rule: Rule) -> Iterator[str]:
    """The builds that a rule applies to."""
    for path, values in rule.applies.items():
        yield f"  only where {path} is {' or '.join(values)}"


def fix_lines(rule: Rule) -> Iterator[str]:
    """What to do, for each build that a variant fits."""
    for number, fix in enumerate(rule.fixes):
        when = " and ".join(f"{path} is {' or '.join(values)}" for path, values in fix.when.items())
        condition = f" if {when}" if when else " otherwise" if number else ""
        yield f"what to do{condition}: {fix_text(fix)}"


def limit_lines(rule: Rule, limits: Limits) -> Iterator[str]:
    """The limits in force, who set them, and those that they replace."""
    for side, bound in limits.in_force(rule).items():
        text = _limit_text(bound.limit, limits.system)
        if limits.system == "" and bound.limit.metric is not None:
            text = f"{text} (metric builds: {bound.limit.metric.text})"
        yield f"{side.replace('_', ' ')}: {text}, {_ORIGINS[bound.origin]} ({bound.limit.place})"
        if bound.origin != "rule":
            yield f"  because {bound.because}"
        for displaced in reversed(limits.stated(rule, side)[:-1]):
            yield f"  in place of {displaced.limit.text}, {_ORIGINS[displaced.origin]}"


def _limit_text(limit: Limit, system: str) -> str:
    """A limit as written, with ``×`` for ``*``; one value in inches in millimetres for a metric build."""
    tree = limit.tree(None)
    if system == "metric" and limit.text.endswith(" in") and isinstance(tree, Literal):
        return value_text(tree.value, system)
    return limit.text.replace(" * ", " × ")


def bound_lines(rule: Rule, system: str = "") -> Iterator[str]:
    """For which fuels the limits hold, how far they can be loosened, and which rules come first."""
    if rule.fuels:
        yield f"the rule's own limits hold for {' and '.join(rule.fuels)}; undecided for another block.fuel"
    if rule.loosest is not None:
        loosest = value_text(rule.loosest.value, system) if system else rule.loosest.text
        yield f"no team and no build can set a limit looser than {loosest}"
    if rule.follows:
        yield f"shown under {' or '.join(rule.follows)} if that fails on the same valve"


def undecided_lines(rule: Rule) -> Iterator[str]:
    """What an undecided value, contact or a concession means for a rule."""
    if rule.at_zero:
        contact = "contact, which blocks at every stage"
        yield f"at zero or less: {contact if rule.at_zero == 'contact' else 'it fails, whatever the uncertainty'}"
    if rule.level == "error":
        yield f"if it cannot be determined: {'it blocks too' if rule.open_blocks else 'it does not block'}"
    yield f"concession: {'allowed' if rule.concedable else 'refused'}"


def control_lines(rule: Rule) -> Iterator[str]:
    """What else a rule's limit controls."""
    if (limit := NAMED_LIMITS.get(rule.controls)) is not None:
        inherited = ", kept from the shipped rule that it replaces" if rule.inherits_control else ""
        yield f"also controls: {limit.controls} ({rule.controls}{inherited})"
    elif rule.controls == NOTHING and rule.replaces is not None:
        dropped = NAMED_LIMITS.get(rule.replaces.controls)
        lost = f"; the shipped rule controls {dropped.controls} ({rule.replaces.controls})" if dropped else ""
        yield f"also controls: nothing{lost}"


def _named_quantities(rule: Rule) -> Iterator[str]:
    for name in dict.fromkeys(rule.names()):
        named: Quantity | None = QUANTITIES.get(name)
        if named is not None:
            yield f"  {name}: {named.title} ('buildcheck explain {name}')"


def _example(example: Example, system: str) -> str:
    given = ", ".join(f"{name} {_in_units_of(system, name, str(text))}" for name, text in example.given.items())
    return f"{given or 'nothing known'}: {RESULT_WORDS[example.gives]}"


def _in_units_of(system: str, name: str, text: str) -> str:
    """A given value in the units of the build; as written without a build, and if it has no unit."""
    try:
        kind = kind_of_name(name)
        amount = parse(text, kind)
    except (KeyError, QuantityError):
        return text
    if not system or kind in ("count", "ratio"):
        return text
    parts = {name: float(amount.expanded) / 2} if amount.expanded else {}
    return value_text(Value(float(amount.si), kind, parts), system)
