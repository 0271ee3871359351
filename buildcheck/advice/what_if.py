"""What would become of lengths, order, compression and clearances if parts were milled, swapped or raised."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from math import pi

from buildcheck.advice.assumptions import Assumption, assume, refuse_twice, supposed
from buildcheck.advice.what_if_effects import Effect, changed, lost_clearances
from buildcheck.advice.what_if_piston import cut_between, on_piston, on_piston_gap, unknown_timing
from buildcheck.build.changes import Change, height_effect, required_length_effect
from buildcheck.build.facts import Facts
from buildcheck.build.length_conventions import ZERO, minus, plus
from buildcheck.build.states import changes_since, states
from buildcheck.build.supposed_build import supposing
from buildcheck.build.trials import void_readings
from buildcheck.core.subject import BUILD, Subject
from buildcheck.core.usage_error import UsageError
from buildcheck.core.value import NotApplicable, Undecided, Value, derive
from buildcheck.ordering.order import Order, order
from buildcheck.quantities import cylinder_volumes as compression
from buildcheck.quantities.pivot_height import signed_height_error
from buildcheck.quantities.pushrod_inclination import length_per_height
from buildcheck.record import Record
from buildcheck.registry.length_spread import required_lengths

CHAMBER = (
    "between no cut of the chamber and one as wide as the gasket's bore: add chamber_volume=… once it is filled again"
)

INSTALLED_HEIGHT = "the installed height grows as the seat is cut: add installed_height=…"
SEAT_FORCE = "the seat force at another installed height is not entered: add seat_force=…"


class WhatIf(Record):
    """The answer: what was assumed, its effects, the order before and after, and what cannot be determined."""

    assumed: tuple[Assumption, ...]
    effects: tuple[Effect, ...]
    before: Order
    after: Order
    undetermined: tuple[tuple[str, str], ...]


def what_if(facts: Facts, texts: Sequence[str]) -> WhatIf:
    """Answer ``head_milled=0.010 in`` and the like, all assumed together. Raises UsageError for a wrong call.

    The files are taken with one more state after the last one: what is computed then is what the build would show if
    the change were made and entered.
    """
    try:
        assumed = tuple(assume(facts, text) for text in texts)
        refuse_twice(assumed)
        then = supposing(facts, supposed(facts, assumed), without=["pushrods.chosen"])
        changes = {subject: _changes(then, subject) for subject in facts.subjects("valve_type")}
        longer = {subject: _longer(facts, subject, found) for subject, found in changes.items()}
    except Undecided as reason:
        raise UsageError(f"--with: {reason.reason}") from reason
    effects: list[Effect] = []
    undetermined: dict[str, str] = {}
    for subject, by in longer.items():
        type_changes = changes[subject]
        _gather(effects, undetermined, "required length", lambda: _on_lengths(facts, then, subject, by))  # noqa: B023
        if not _void(then, subject):
            _gather(effects, undetermined, "kept pushrods", lambda: _on_kept_rods(facts, subject, by, type_changes))  # noqa: B023
        if any(one.name == "chosen_length" for one in assumed):
            _gather(effects, undetermined, "chosen length", lambda: _on_chosen(facts, then, subject))  # noqa: B023
        _gather(effects, undetermined, "piston to valve", lambda: on_piston(facts, subject, assumed))  # noqa: B023
    for valve in facts.subjects("valve"):
        _gather(effects, undetermined, f"piston gap of {valve.text}", lambda: on_piston_gap(facts, then, valve))  # noqa: B023
    effects += changed(facts, then)
    _gather(effects, undetermined, "compression", lambda: _on_compression(facts, assumed))
    _gather(effects, undetermined, "dynamic compression", lambda: _on_dynamic_compression(facts, then, assumed))
    undetermined |= _left_undetermined(facts, then, assumed)
    return WhatIf(assumed, tuple(effects), order(facts), order(then), tuple(undetermined.items()))


def _left_undetermined(facts: Facts, then: Facts, assumed: tuple[Assumption, ...]) -> dict[str, str]:
    """What the assumptions change and nobody has measured yet, with the reason."""
    names = {one.name for one in assumed}
    left = lost_clearances(facts, then, {"piston_to_valve"} if cut_between(assumed).si else set())
    left |= unknown_timing(facts, names)
    if "seat_sunk" in names and "installed_height" not in names:
        left["coil bind and spring force"] = INSTALLED_HEIGHT
    if "installed_height" in names and "seat_force" not in names:
        left["spring force"] = SEAT_FORCE
    return left


def _gather(
    effects: list[Effect], undetermined: dict[str, str], what: str, make: Callable[[], Iterator[Effect]]
) -> None:
    try:
        effects += make()
    except Undecided as reason:
        undetermined.setdefault(what, reason.reason)
    except NotApplicable:
        return


def _changes(then: Facts, subject: Subject) -> list[Change]:
    """What is supposed to change, as readings taken until now are carried over."""
    before = states(then)[-2]
    return changes_since(then, subject, before, another_head=True)


def _longer(facts: Facts, subject: Subject, changes: Sequence[Change]) -> Value:
    """By how much the required length of a valve type grows, m."""
    total = ZERO
    for change in changes:
        total = plus(total, required_length_effect(facts, subject, change))
    return total


def _void(then: Facts, subject: Subject) -> str:
    """Why a measured length of a valve type would no longer apply; empty if it would."""
    for valve in then.subjects("valve"):
        for reading in void_readings(then, valve) if valve.valve == subject.valve else ():
            if reading.by_change:
                return f"void: measure again; {reading.reason}"
    return ""


def _middle(facts: Facts, subject: Subject) -> tuple[Subject, Value] | None:
    """The measured valve of a type with the middle required length; None if none is known."""
    known = sorted(required_lengths(facts, subject).items(), key=lambda item: item[1].si)
    return known[(len(known) - 1) // 2] if known else None


def _on_lengths(facts: Facts, then: Facts, subject: Subject, longer: Value) -> Iterator[Effect]:
    known = _middle(facts, subject)
    if void := _void(then, subject):
        raise Undecided(void)
    if not known:
        if longer.si:
            yield Effect("Change of required length", subject, None, longer)
        return
    valve, now = known
    after = required_lengths(then, subject).get(valve)
    if after is None or after.si != now.si:
        yield Effect(
            "Required length, middle of the measured valves", subject, now, after or then.get("length_asked", valve)
        )


def _screw(facts: Facts, out: float) -> str:
    """Which way to turn the screw of a rocker, and how far."""
    thread = facts.node("rockers.adjuster_thread")
    if thread is None:
        return f"screw {'down' if out > 0 else 'up'}"
    turns = abs(out) / facts.pitch("rockers.adjuster_thread").si
    return f"screw {'down' if out > 0 else 'up'} {turns:.2f} turn of {thread.value}"


def _on_kept_rods(facts: Facts, subject: Subject, longer: Value, changes: Sequence[Change]) -> Iterator[Effect]:
    """What the present pushrods would give; under a fixed pivot also how its height over the tip moves."""
    if not longer.si and not changes:
        return
    known = _middle(facts, subject)
    middle = known[0] if known else subject
    if facts.pivot_is_free:
        lower = derive("length", lambda more, factor: more / factor, longer, length_per_height(facts, middle))
        yield from _moved_pivot(facts, middle, subject, lower)
        return
    if facts.text("rockers.adjuster") == "screw":
        yield Effect("Adjuster screw, same pushrods", subject, None, longer, _screw(facts, longer.si))
    elif facts.is_hydraulic:
        preload = facts.get("preload", middle)
        yield Effect("Preload, same pushrods", subject, preload, minus(preload, longer))
    else:
        lash, ratio = facts.get("lash", middle), facts.field("rockers.ratio", middle)
        then = derive("length", lambda gap, more, r: gap + more * r, lash, longer, ratio)
        yield Effect("Lash, same pushrods", subject, lash, then)
    lower = ZERO
    for change in changes:
        lower = plus(lower, height_effect(facts, subject, change))
    yield from _moved_pivot(facts, middle, subject, lower)


def _on_chosen(facts: Facts, then: Facts, subject: Subject) -> Iterator[Effect]:
    """How the pushrods to be ordered differ from the required length, and the preload or lash with them."""
    known = _middle(facts, subject)
    if not known:
        return
    middle, required = known
    before, after = (minus(each.get("chosen_length", middle), required) for each in (facts, then))
    yield Effect("Chosen length less the required length", subject, before, after)
    for name in ("preload", "lash"):
        if (
            (now := facts.get_or_none(name, middle)) is not None
            and (new := then.get_or_none(name, middle)) is not None
            and new.si != now.si
        ):
            yield Effect(facts.quantities[name].title, subject, now, new)


def _moved_pivot(facts: Facts, middle: Subject, subject: Subject, lower: Value) -> Iterator[Effect]:
    if not facts.is_roller or not lower.si:
        return
    try:
        now = signed_height_error(facts, middle)
    except (Undecided, NotApplicable):
        yield Effect("Pivot height lost above the valve tip", subject, None, lower)
        return
    yield Effect("Pivot below mid-lift height", subject, now, plus(now, lower))


def _on_compression(facts: Facts, assumed: tuple[Assumption, ...]) -> Iterator[Effect]:
    """Compression and quench of a cylinder that is as block.yaml and heads.yaml say in general."""
    now, then, remark = _room(facts, assumed)
    if then != now:
        stroke, system = facts.field("block.stroke"), facts.system
        before, after = (compression.static_ratio(parts, stroke, system) for parts in (now, then))
        yield Effect("Compression ratio", BUILD, before, after, remark)
        before, after = (plus(parts["deck"], parts["gasket_thickness"]) for parts in (now, then))
        yield Effect("Quench", BUILD, before, after)


def _on_dynamic_compression(facts: Facts, then: Facts, assumed: tuple[Assumption, ...]) -> Iterator[Effect]:
    parts, parts_then, remark = _room(facts, assumed)
    cam_moved = any(one.name == "cam_advance" for one in assumed)
    if parts_then != parts or cam_moved:
        before, after = compression.dynamic_ratio(facts, parts), compression.dynamic_ratio(then, parts_then)
        yield Effect("Dynamic compression ratio", BUILD, before, after, remark)


def _room(facts: Facts, assumed: tuple[Assumption, ...]) -> tuple[dict[str, Value], dict[str, Value], str]:
    now = compression.cylinder_parts(facts, BUILD)
    return now, *_with(now, assumed)


def _with(parts: dict[str, Value], assumed: tuple[Assumption, ...]) -> tuple[dict[str, Value], str]:
    """The cylinder's parts as assumed; a milled head's chamber is only known between two bounds."""
    found = {one.name: one for one in assumed}
    then, remark = dict(parts), ""
    if (milled := found.get("block_milled")) is not None:
        then["deck"] = minus(then["deck"], milled.value)
    for name, part in (
        ("gasket_thickness", "gasket_thickness"),
        ("chamber_volume", "chamber"),
        ("piston_volume", "piston"),
    ):
        if (one := found.get(name)) is not None:
            then[part] = one.value
    if (milled := found.get("head_milled")) is not None and "chamber_volume" not in found:
        then["chamber"], remark = _milled(then["chamber"], then["gasket_bore"], milled.value), CHAMBER
    return then, remark


def _milled(chamber: Value, bore: Value, cut: Value) -> Value:
    """The chamber less half of what a face as wide as the gasket's bore would lose, that half being the doubt."""
    half = derive("volume", lambda b, m: pi / 8 * b**2 * m, bore, cut)
    left = derive("volume", lambda room, gone: room - gone, chamber, half)
    return left._replace(parts={**left.parts, "chamber's face": half.si / 2})
