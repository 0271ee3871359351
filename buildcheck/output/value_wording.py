"""Values and limits in words, the same in every output."""

from __future__ import annotations

from collections.abc import Mapping

from buildcheck.core.value import Value
from buildcheck.rules.judging import AT_LIMIT
from buildcheck.units.quantity import show

_SIDES = {"at_least": "minimum", "at_most": "maximum"}
_FINEST = 6


def value_text(value: Value, system: str, finer: int = 0) -> str:
    """A value with its expanded uncertainty, as people read it."""
    text = show(value.si, value.kind, system, finer)
    expanded = value.expanded
    return f"{text} ± {show(expanded, spread_kind(value.kind), system, finer)}" if expanded else text


def limits_text(limits: Mapping[str, Value], system: str, finer: int = 0) -> str:
    """Limits in words: ``at least 0.0200 in and at most 0.0600 in``."""
    each = [f"{_SIDES[side]} {show(limit.si, limit.kind, system, finer)}" for side, limit in limits.items()]
    return " and ".join(each)


def decimals_more(value: Value, limits: Mapping[str, Value], margin: float | None, system: str) -> int:
    """How many more than usual it takes for a value and its limit, and what is between them, not to read alike."""
    if margin is None or abs(margin) < AT_LIMIT:
        return 0

    def apart(finer: int) -> bool:
        shown = show(value.si, value.kind, system, finer)
        between, none = (show(si, spread_kind(value.kind), system, finer) for si in (abs(margin), 0.0))
        return between != none and all(show(each.si, each.kind, system, finer) != shown for each in limits.values())

    return next((finer for finer in range(_FINEST) if apart(finer)), _FINEST)


def spread_kind(kind: str) -> str:
    """The kind that differences of a kind have."""
    return "temperature difference" if kind == "temperature" else kind


def value_and_remark(value: Value, system: str, finer: int = 0) -> str:
    """A value in words: of a count its remark, of all others the figure first."""
    if value.kind == "count" and value.remark:
        return value.remark
    text = value_text(value, system, finer)
    return f"{text} ({value.remark})" if value.remark else text
