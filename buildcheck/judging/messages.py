"""What a result says: the value, its limit, by how much, and the cure, in one sentence each."""

from __future__ import annotations

from collections.abc import Mapping

from buildcheck.amounts.quantity import show
from buildcheck.judging.rule import Rule
from buildcheck.values import Value

_SIDES = {"at_least": "at least", "at_most": "at most"}


def shown(value: Value, system: str) -> str:
    """A value with its expanded uncertainty, as people read it."""
    text = show(value.si, value.kind, system)
    return f"{text} ± {show(value.expanded, spread_kind(value.kind), system)}" if value.expanded else text


def limits_shown(limits: Mapping[str, Value], system: str) -> str:
    """Limits in words: ``at least 0.0200 in and at most 0.0600 in``."""
    return " and ".join(f"{_SIDES[side]} {show(limit.si, limit.kind, system)}" for side, limit in limits.items())


def decided(rule: Rule, kind: str, value: Value, limits: Mapping[str, Value], margin: float | None, system: str) -> str:
    """The message where value and limits are known."""
    head = f"{rule.title}: {found(value, system)}"
    if value.kind != "count":
        head += f", {'must be ' if kind == 'fail' else ''}{limits_shown(limits, system)}"
    if kind == "pass" or margin is None:
        return head
    short = show(abs(margin), spread_kind(value.kind), system)
    if kind == "fail":
        missed = "" if value.kind == "count" else f", misses it by {short}"
        return f"{head}{missed}. {rule.fix}"
    needed = "" if abs(margin) < 1e-12 else f"; a reading good to {short} would"
    return f"{head}: this instrument cannot tell{needed}"


def unable(rule: Rule, reason: str) -> str:
    """The message where something is missing."""
    return f"{rule.title}: cannot be told: {reason}"


def spread_kind(kind: str) -> str:
    """The kind that differences of a kind have."""
    return "temperature difference" if kind == "temperature" else kind


def found(value: Value, system: str) -> str:
    """A value as it is told: of a count what it says, of all others the figure first."""
    if value.kind == "count" and value.said:
        return value.said
    return f"{shown(value, system)} ({value.said})" if value.said else shown(value, system)
