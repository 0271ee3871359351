"""What would become of lengths, order, compression and clearances if parts were milled, swapped or raised."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from math import pi

from buildcheck.advice.assumptions import Assumption, assume
from buildcheck.build.facts import Facts
from buildcheck.build.length_conventions import ZERO, minus, plus
from buildcheck.build.trials import is_hydraulic
from buildcheck.core.subject import BUILD, Subject
from buildcheck.core.usage_error import UsageError
from buildcheck.core.value import NotApplicable, Undecided, Value, derive
from buildcheck.ordering.order import Order, order, order_after_change
from buildcheck.quantities import cylinder_volumes as compression
from buildcheck.quantities.geometry import length_per_height, pivot_is_free, signed_height_error
from buildcheck.quantities.marks import is_roller
from buildcheck.quantities.predicted_length import CHANGES, contribution
from buildcheck.registry.length_spread import required_lengths

CHAMBER = (
    "between no cut of the chamber and one as wide as the gasket's bore: add chamber_volume=… once it is filled anew"
)


@dataclass(frozen=True, slots=True)
class Effect:
    """One quantity before and after; ``now`` is None where only the change can be told."""

    title: str
    subject: Subject
    now: Value | None
    then: Value
    remark: str = ""


@dataclass(frozen=True, slots=True)
class WhatIf:
    """The answer: what was assumed, what it does, the order before and after, and what cannot be told."""

    assumed: tuple[Assumption, ...]
    effects: tuple[Effect, ...]
    before: Order
    after: Order
    undetermined: tuple[tuple[str, str], ...]


def what_if(facts: Facts, texts: Sequence[str]) -> WhatIf:
    """Answer ``head_milled=0.010 in`` and the like, all assumed together. Raises UsageError for a wrong call."""
    try:
        assumed = tuple(assume(facts, text) for text in texts)
        longer = {subject: _longer(facts, subject, assumed) for subject in facts.subjects("valve_type")}
    except Undecided as reason:
        raise UsageError(f"--with: {reason.reason}") from reason
    for name, times in Counter(one.name for one in assumed).items():
        if times > 1:
            raise UsageError(f"--with {name} is given {times} times: write once what they come to")
    effects: list[Effect] = []
    undetermined: dict[str, str] = {}
    for subject, by in longer.items():
        _gather(effects, undetermined, "push rod length", lambda: _on_lengths(facts, subject, by))  # noqa: B023
        _gather(effects, undetermined, "kept push rods", lambda: _on_kept_rods(facts, subject, by, assumed))  # noqa: B023
        _gather(effects, undetermined, "piston to valve", lambda: _on_piston(facts, subject, assumed))  # noqa: B023
    _gather(effects, undetermined, "compression", lambda: _on_compression(facts, assumed))
    _gather(effects, undetermined, "dynamic compression", lambda: _on_dynamic_compression(facts, assumed))
    by_type = {subject.valve: by.si for subject, by in longer.items()}
    return WhatIf(
        assumed, tuple(effects), order(facts), order_after_change(facts, by_type), tuple(undetermined.items())
    )


def _gather(
    effects: list[Effect], undetermined: dict[str, str], what: str, make: Callable[[], Iterator[Effect]]
) -> None:
    try:
        effects += make()
    except Undecided as reason:
        undetermined.setdefault(what, reason.reason)
    except NotApplicable:
        return


def _longer(facts: Facts, subject: Subject, assumed: tuple[Assumption, ...]) -> Value:
    """By how much the push rods of a valve type must be longer, m."""
    total = ZERO
    for one in assumed:
        if one.name in CHANGES:
            total = plus(total, contribution(facts, subject, one.name, one.change))
    return total


def _on_lengths(facts: Facts, subject: Subject, longer: Value) -> Iterator[Effect]:
    known = sorted(required_lengths(facts, subject).values(), key=lambda value: value.si)
    if not known:
        yield Effect("Change of push rod length", subject, None, longer)
        return
    now = known[(len(known) - 1) // 2]
    yield Effect("Push rod length asked, middle of those measured", subject, now, plus(now, longer))


def _on_kept_rods(facts: Facts, subject: Subject, longer: Value, assumed: tuple[Assumption, ...]) -> Iterator[Effect]:
    """What the present rods would give; under a fixed pivot also how its height over the tip moves."""
    known = sorted(required_lengths(facts, subject).items(), key=lambda item: item[1].si)
    own = known[(len(known) - 1) // 2][0] if known else subject
    if pivot_is_free(facts):
        lower = derive("length", lambda more, factor: more / factor, longer, length_per_height(facts, own))
        yield from _moved_pivot(facts, own, subject, lower)
        return
    if facts.text("rockers.adjuster") == "screw":
        yield Effect("Screw to be turned out, rods kept", subject, None, longer)
    elif is_hydraulic(facts):
        preload = facts.get("preload", own)
        yield Effect("Preload, rods kept", subject, preload, minus(preload, longer))
    else:
        lash, ratio = facts.get("lash", own), facts.field("rockers.ratio", own)
        then = derive("length", lambda gap, more, r: gap + more * r, lash, longer, ratio)
        yield Effect("Lash, rods kept", subject, lash, then)
    raised = {one.name: one.change for one in assumed}
    lower = minus(raised.get("tip_higher", ZERO), raised.get("pedestal_raised", ZERO))
    yield from _moved_pivot(facts, own, subject, lower)


def _moved_pivot(facts: Facts, own: Subject, subject: Subject, lower: Value) -> Iterator[Effect]:
    if not is_roller(facts) or not lower.si:
        return
    try:
        now = signed_height_error(facts, own)
    except (Undecided, NotApplicable):
        yield Effect("Pivot lower over the tip", subject, None, lower)
        return
    yield Effect("Pivot below its best height", subject, now, plus(now, lower))


def _on_piston(facts: Facts, subject: Subject, assumed: tuple[Assumption, ...]) -> Iterator[Effect]:
    nearer = _cut(assumed)
    if nearer.si:
        now = facts.field("clearances.{valve}.piston_to_valve", subject)
        remark = "a valve that leans against the cylinder loses or gains less"
        yield Effect("Piston to valve", subject, now, minus(now, nearer), remark)


def _cut(assumed: tuple[Assumption, ...]) -> Value:
    """How much nearer the head comes to the piston, m."""
    signs = {"block_milled": 1.0, "head_milled": 1.0, "gasket_thickness": -1.0}
    total = ZERO
    for one in assumed:
        if sign := signs.get(one.name):
            total = plus(total, derive("length", lambda change, s=sign: s * change, one.change))
    return total


def _on_compression(facts: Facts, assumed: tuple[Assumption, ...]) -> Iterator[Effect]:
    """Compression and quench of a cylinder that is as block.yaml and heads.yaml say in general."""
    now, then, remark = _room(facts, assumed)
    if then != now:
        stroke, system = facts.field("block.stroke"), facts.system
        before, after = (compression.static_ratio(parts, stroke, system) for parts in (now, then))
        yield Effect("Compression ratio", BUILD, before, after, remark)
        before, after = (plus(parts["deck"], parts["gasket_thickness"]) for parts in (now, then))
        yield Effect("Quench", BUILD, before, after)


def _on_dynamic_compression(facts: Facts, assumed: tuple[Assumption, ...]) -> Iterator[Effect]:
    now, then, remark = _room(facts, assumed)
    if then != now:
        before, after = (compression.dynamic_ratio(facts, parts) for parts in (now, then))
        yield Effect("Compression ratio from the intake's closing", BUILD, before, after, remark)


def _room(facts: Facts, assumed: tuple[Assumption, ...]) -> tuple[dict[str, Value], dict[str, Value], str]:
    now = compression.cylinder_parts(facts, BUILD)
    return now, *_with(now, assumed)


def _with(parts: dict[str, Value], assumed: tuple[Assumption, ...]) -> tuple[dict[str, Value], str]:
    """The cylinder's parts as assumed; a milled head's chamber is only known between two bounds."""
    found = {one.name: one for one in assumed}
    then, remark = dict(parts), ""
    if (milled := found.get("block_milled")) is not None:
        then["deck"] = minus(then["deck"], milled.change)
    for name, part in (
        ("gasket_thickness", "gasket_thickness"),
        ("chamber_volume", "chamber"),
        ("piston_volume", "piston"),
    ):
        if (one := found.get(name)) is not None and one.size is not None:
            then[part] = one.size
    if (milled := found.get("head_milled")) is not None and "chamber_volume" not in found:
        then["chamber"], remark = _milled(then["chamber"], then["gasket_bore"], milled.change), CHAMBER
    return then, remark


def _milled(chamber: Value, bore: Value, cut: Value) -> Value:
    """The chamber less half of what a face as wide as the gasket's bore would lose, that half being the doubt."""
    half = derive("volume", lambda b, m: pi / 8 * b**2 * m, bore, cut)
    left = derive("volume", lambda room, gone: room - gone, chamber, half)
    return left._replace(parts={**left.parts, "chamber's face": half.si / 2})
