"""What a result says: the value, its limit, by how much, and the cure, in one sentence each."""

from __future__ import annotations

from collections.abc import Mapping

from buildcheck.quantity import show
from buildcheck.rule import Rule
from buildcheck.subjects import Subject
from buildcheck.values import Value

_SIDES = {"at_least": "at least", "at_most": "at most"}


def shown(value: Value, system: str) -> str:
    """A value with its expanded uncertainty, as people read it."""
    text = show(value.si, value.kind, system)
    return f"{text} ± {show(value.expanded, _spread(value.kind), system)}" if value.expanded else text


def limits_shown(limits: Mapping[str, Value], system: str) -> str:
    """Limits in words: ``at least 0.0200 in and at most 0.0600 in``."""
    return " and ".join(f"{_SIDES[side]} {show(limit.si, limit.kind, system)}" for side, limit in limits.items())


def decided(
    rule: Rule,
    kind: str,
    value: Value,
    limits: Mapping[str, Value],
    margin: float | None,
    subject: Subject,
    system: str,
) -> str:
    """The message where value and limits are known."""
    wanted = limits_shown(limits, system)
    said = f" ({value.said})" if value.said else ""
    head = f"{_whose(subject)}{rule.title}: {shown(value, system)}{said}"
    if kind == "pass" or margin is None:
        return f"{head}, {wanted}"
    short = show(abs(margin), _spread(value.kind), system)
    if kind == "fail":
        return f"{head}, must be {wanted}, misses it by {short}. {rule.fix}"
    needed = "" if abs(margin) < 1e-12 else f"; a reading good to {short} would"
    return f"{head} straddles its limit, {wanted}: this instrument cannot tell{needed}"


def unable(rule: Rule, subject: Subject, reason: str) -> str:
    """The message where something is missing."""
    return f"{_whose(subject)}{rule.title}: cannot be told: {reason}"


def _whose(subject: Subject) -> str:
    return f"{subject.text}: " if subject.text else ""


def _spread(kind: str) -> str:
    return "temperature difference" if kind == "temperature" else kind
