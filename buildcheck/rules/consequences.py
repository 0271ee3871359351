"""Which result is the cause of another: what is undecided or fails only because something else does."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from buildcheck.core.reason import ConsequenceOf
from buildcheck.core.subject import Subject
from buildcheck.rules.expression import names
from buildcheck.rules.results import Result
from buildcheck.rules.rule import Rule, RuleSet

_GRAVITY = {"contact": 0, "fails": 1, "": 2}
"""How grave a rule is by what it makes of a value of zero: the gravest of several findings leads."""

Key = tuple[str, Subject]
"""A result's rule and subject: there is one result of each."""


def causes(unmet: Sequence[Result], rules: RuleSet) -> Mapping[Key, Result]:
    """For each consequence, by rule and subject, the result that is its cause. A cause is no consequence itself.

    ``unmet`` are the results of a build that fail or are undecided.

    Three kinds of consequence are found: a result that is undecided because of what another rule judges; a failure
    of the same subject and area with a place at which a graver failure lies, such as a mark that is
    off centre and also too near the edge; and a result of a rule that follows one that fails on a subject in common.
    """
    known = {rule.id: rule for rule in rules.rules}
    found = [one for one in unmet if one.concession is None]
    roots = [one for one in found if not isinstance(one.reason, ConsequenceOf)]
    failed = [one for one in roots if one.kind == "fail"]
    led = {(one.rule, one.subject): leader for one in roots if (leader := _leader(one, failed, known)) is not None}
    judging = _by_name(roots, known)
    for one in found:
        if isinstance(one.reason, ConsequenceOf):
            name, subject = one.reason.cause
            judges = [other for other in judging.get(name, ()) if _covers(other.subject, subject)]
            if judges:
                root = min(judges, key=lambda other: _rank(other, known))
                led[one.rule, one.subject] = led.get((root.rule, root.subject), root)
        if (first := _followed(one, failed, known)) is not None:
            led.setdefault((one.rule, one.subject), first)
    return {key: _origin(key, led) for key in led}


def _by_name(results: Sequence[Result], known: Mapping[str, Rule]) -> Mapping[str, Sequence[Result]]:
    """The results that judge a quantity or a field, by its name."""
    found: dict[str, list[Result]] = {}
    for one in results:
        for name in names(known[one.rule].quantity):
            found.setdefault(name, []).append(one)
    return found


def _followed(result: Result, failed: Sequence[Result], known: Mapping[str, Rule]) -> Result | None:
    """The failure that a result follows, of the rule that its own rule names first."""
    follows = known[result.rule].follows
    before = [one for one in failed if one.rule in follows and _in_common(one, result)]
    return min(before, key=lambda one: (follows.index(one.rule), one.subject.order), default=None)


def _in_common(one: Result, other: Result) -> bool:
    """Whether two results are about at least one valve in common."""
    pairs = ((one.subject.valve, other.subject.valve), (one.subject.cylinder, other.subject.cylinder))
    return all(a is None or b is None or a == b for a, b in pairs)


def _origin(key: Key, led: Mapping[Key, Result]) -> Result:
    """The first cause in a chain of causes."""
    seen = {key}
    while (key := (led[key].rule, led[key].subject)) in led and key not in seen:
        seen.add(key)
    return next(one for one in led.values() if (one.rule, one.subject) == key)


def _leader(result: Result, failed: Sequence[Result], known: Mapping[str, Rule]) -> Result | None:
    """The graver failure at one of a result's places, on the same subject and of the same area of rules."""
    more_severe = [
        other
        for other in failed
        if other.level == "error"
        and other.subject == result.subject
        and other.place in result.places
        and known[other.rule].area == known[result.rule].area
        and _rank(other, known) < _rank(result, known)
    ]
    return min(more_severe, key=lambda other: _rank(other, known), default=None)


def _covers(one: Subject, other: Subject) -> bool:
    """Whether a result on one subject is also about the other, as that of a valve type is about its valves."""
    return one.valve in (None, other.valve) and one.cylinder in (None, other.cylinder)


def _rank(result: Result, known: Mapping[str, Rule]) -> tuple[bool, bool, int, str]:
    """Blocking failures first, the gravest rule first."""
    return (not result.blocks, result.kind != "fail", _GRAVITY[known[result.rule].at_zero], result.rule)
