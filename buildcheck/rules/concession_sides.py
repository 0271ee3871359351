"""Refuses a concession with a worst value that meets the limit: it would accept nothing."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from buildcheck.build.facts import Facts
from buildcheck.core.problem import Problem
from buildcheck.core.value import NotApplicable, Undecided, Value
from buildcheck.rules.concessions import Granted
from buildcheck.rules.limits import Limits
from buildcheck.rules.rule import Bound, RuleSet

_WORSE = {"at_least": "below", "at_most": "above"}


def meeting_the_limit(granted: Sequence[Granted], rules: RuleSet, limits: Limits, facts: Facts) -> Iterator[Problem]:
    """A problem for each concession with an ``up_to`` that meets every limit of its rule."""
    for one in granted:
        if one.up_to is None or one.rule not in rules:
            continue
        bounds = _known_bounds(limits.in_force(rules[one.rule]), one, facts)
        if bounds and all(_meets(one.up_to, side, value) for side, (value, _) in bounds.items()):
            worse = " or ".join(f"{_WORSE[side]} {text}" for side, (_, text) in bounds.items())
            words = f"{one.concession.up_to} meets the limit of {one.rule}: write the worst value accepted, {worse}"
            yield Problem(one.concession.place, "up_to", words)


def _known_bounds(bounds: Mapping[str, Bound], one: Granted, facts: Facts) -> dict[str, tuple[Value, str]]:
    """The limits by side with their texts; none if one of them is not known."""
    known = {}
    for side, bound in bounds.items():
        tree = bound.limit.tree(one.subject.valve)
        if tree is None:
            continue
        try:
            known[side] = tree.evaluate(facts, one.subject), bound.limit.text
        except (NotApplicable, Undecided):
            return {}
    return known


def _meets(worst: Value, side: str, limit: Value) -> bool:
    return worst.si >= limit.si if side == "at_least" else worst.si <= limit.si
