"""Which rule controls a named limit: whether a rule can, and that no two do."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from buildcheck.build.named_limits import NAMED_LIMITS, NamedLimit
from buildcheck.core.problem import Problem
from buildcheck.rules.dimensions import alike, described
from buildcheck.rules.rule import Rule


def control_error(rule: Rule) -> str:
    """Why a rule cannot control the named limit that it writes, or keeps from the rule it replaces; empty if it can."""
    limit = NAMED_LIMITS.get(rule.controls)
    if limit is None:
        return ""
    wrong = _unfit(rule, limit)
    if wrong or not rule.inherits_control:
        return wrong
    old = rule.replaces
    if old is not None and old.quantity_text != rule.quantity_text:
        return (
            f"the rule that it replaces controls {rule.controls} with {old.quantity_text}, this rule judges another "
            f"quantity: write 'controls: {rule.controls}' to keep that, or 'controls: nothing' to drop it"
        )
    return ""


def _unfit(rule: Rule, limit: NamedLimit) -> str:
    if limit.side not in rule.bounds:
        return f"{rule.controls} is the {limit.side} of its rule: write {limit.side}, or 'controls: nothing'"
    if rule.for_each != limit.for_each:
        return f"{rule.controls} is set for each {limit.for_each}: write 'for_each: {limit.for_each}'"
    if not alike(rule.kind, limit.kind):
        return f"{rule.controls} is {described(limit.kind)}, this rule judges {described(rule.kind)}"
    return ""


def shared_controls(rules: Iterable[Rule]) -> Iterator[Problem]:
    """A problem at each rule that controls a limit that another rule controls already; the team's rule is at fault."""
    first: dict[str, Rule] = {}
    for rule in sorted(rules, key=lambda rule: (not rule.shipped, rule.id)):
        if rule.controls in NAMED_LIMITS:
            other = first.setdefault(rule.controls, rule)
            if other is not rule:
                message = f"{other.id} controls {rule.controls} already ({other.place}): only one rule can"
                yield Problem(rule.place, "controls", message)
