"""What a result says: the value, its limit, by how much, and the cure, in one sentence each."""

from __future__ import annotations

from collections.abc import Mapping

from buildcheck.core.value import Value
from buildcheck.rules.rule import Rule
from buildcheck.units.quantity import show

_SIDES = {"at_least": "at least", "at_most": "at most"}
_FINEST = 6
AT_LIMIT = 1e-12
"""A margin below it is the arithmetic's own: the value lies at its limit."""


def shown(value: Value, system: str, finer: int = 0) -> str:
    """A value with its expanded uncertainty, as people read it."""
    text = show(value.si, value.kind, system, finer)
    return f"{text} ± {show(value.expanded, spread_kind(value.kind), system, finer)}" if value.expanded else text


def limits_shown(limits: Mapping[str, Value], system: str, finer: int = 0) -> str:
    """Limits in words: ``at least 0.0200 in and at most 0.0600 in``."""
    return " and ".join(f"{_SIDES[side]} {show(limit.si, limit.kind, system, finer)}" for side, limit in limits.items())


def decimals_more(value: Value, limits: Mapping[str, Value], margin: float | None, system: str) -> int:
    """How many more than usual it takes for a value and its limit, and what is between them, not to read alike."""
    if margin is None or abs(margin) < AT_LIMIT:
        return 0

    def apart(finer: int) -> bool:
        own = show(value.si, value.kind, system, finer)
        between, none = (show(si, spread_kind(value.kind), system, finer) for si in (abs(margin), 0.0))
        return between != none and all(show(each.si, each.kind, system, finer) != own for each in limits.values())

    return next((finer for finer in range(_FINEST) if apart(finer)), _FINEST)


def decided(
    rule: Rule, kind: str, value: Value, limits: Mapping[str, Value], margin: float | None, system: str, fix: str
) -> str:
    """The message if value and limits are known."""
    finer = 0 if kind == "pass" else decimals_more(value, limits, margin, system)
    head = f"{rule.title}: {found(value, system, finer)}"
    if value.kind != "count":
        head += f", {'must be ' if kind == 'fail' else ''}{limits_shown(limits, system, finer)}"
    if kind == "pass" or margin is None:
        return head
    short = show(abs(margin), spread_kind(value.kind), system, finer)
    if kind == "fail":
        missed = "" if value.kind == "count" else f", misses it by {short}"
        return f"{head}{missed}. {fix}"
    needed = "" if abs(margin) < AT_LIMIT else f"; a reading good to {short} would"
    return f"{head}: this instrument cannot tell{needed}"


def unable(rule: Rule, reason: str) -> str:
    """The message where something is missing."""
    return f"{rule.title}: cannot be told: {reason}"


def spread_kind(kind: str) -> str:
    """The kind that differences of a kind have."""
    return "temperature difference" if kind == "temperature" else kind


def found(value: Value, system: str, finer: int = 0) -> str:
    """A value as it is told: of a count what it says, of all others the figure first."""
    if value.kind == "count" and value.said:
        return value.said
    text = shown(value, system, finer)
    return f"{text} ({value.said})" if value.said else text
