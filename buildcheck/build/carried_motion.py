"""Readings of motion as the engine is now: advance, ratio and lash carry the curve over, cuts the free travel."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from buildcheck.build.changes import Change
from buildcheck.build.facts import Facts
from buildcheck.build.motion_readings import MotionEntry, Reading, usable
from buildcheck.build.states import NONE_FITTED, STEM, State, changes_since, is_earlier, now, void_since, was
from buildcheck.core.subject import Subject
from buildcheck.core.value import Undecided, Value, derive, difference, exact, with_uncertainty
from buildcheck.formulas.carried_reading import SHARE
from buildcheck.formulas.lift_curve import interval
from buildcheck.formulas.piston_motion import along_valve, changed_lift
from buildcheck.record import Record
from buildcheck.schema.fields import field_kind
from buildcheck.yamlio.documents import Node

CAM = ("cam.{valve}.lobe_lift", "cam.base_circle_diameter", "cam.lifter.type")
ROCKER = (*CAM, "rockers.mount", "rockers.valve_arm", "rockers.tip.type", "rockers.tip.radius")
"""A change of one of these voids a curve read at the valve: another cam or rocker needs its own."""

FREE_TRAVEL = ("heads.gasket.thickness", STEM)
"""A change of one of these changes the free travel from seat to piston, so what was read of it."""

ONE = exact(1.0, "ratio")
NO_ANGLE, NO_LENGTH = exact(0.0, "angle"), exact(0.0, "length")


def voids_motion(entry: Node, path: str) -> bool:
    """Whether an entry of motion.yaml no longer describes the engine once the part at a path is another."""
    drops = any(one.get("drop") is not None for one in entry.entries["readings"].items)
    at_valve = entry.word("at") == "valve"
    return path in ((*ROCKER, "rockers.ratio") if at_valve else CAM) or (drops and path in FREE_TRAVEL)


class Curve(Record):
    """Lift against crank angle: angles after overlap TDC (deg), increasing, and their lifts (m)."""

    angles: tuple[Value, ...]
    lifts: tuple[Value, ...]

    @property
    def numbers(self) -> tuple[list[float], list[float]]:
        """Angles and lifts without their uncertainty."""
        return [one.si for one in self.angles], [one.si for one in self.lifts]

    def around(self, angle: float) -> slice:
        """The readings that decide the curve at a crank angle (deg), and one more on either side."""
        index = interval(angle, self.numbers[0])
        return slice(max(0, index - 2), index + 4)


def curve(facts: Facts, subject: Subject, at: str) -> Curve:
    """Lift of one valve or lifter as the engine is now. Undecided if it is void or was not read."""
    return facts.once(("motion curve", subject, at), _curve, facts, subject, at)


def _curve(facts: Facts, subject: Subject, at: str) -> Curve:
    entry = usable(facts, subject, at)
    _refuse_void(facts, subject, entry.state, CAM if at == "lifter" else ROCKER)
    earlier = _earlier(facts, entry.state)
    advance = _step(facts, earlier, "cam.advance", subject) or NO_ANGLE
    angles = [derive("angle", lambda angle, ahead: angle - ahead, one.angle, advance) for one in entry.lifts]
    if at == "lifter":
        return Curve(tuple(angles), tuple(_lifts(entry.lifts)))
    share, lash = _ratio_share(facts, earlier, subject), _step(facts, earlier, "cam.{valve}.lash", subject)
    if share is None and lash is None:
        return Curve(tuple(angles), tuple(_lifts(entry.lifts)))
    changed = (entry.lash, share or ONE, lash or NO_LENGTH)
    return Curve(tuple(angles), tuple(derive("length", changed_lift, lift, *changed) for lift in _lifts(entry.lifts)))


def _lifts(readings: Sequence[Reading]) -> Iterator[Value]:
    yield from (one.lift for one in readings if one.lift is not None)


def lash_now(facts: Facts, subject: Subject) -> Value:
    """The lash that is taken off in the curve at a valve as the engine is now, m."""
    entry = usable(facts, subject, "valve")
    step = _step(facts, _earlier(facts, entry.state), "cam.{valve}.lash", subject)
    return derive("length", lambda lash, more: lash + more, entry.lash, step or NO_LENGTH)


def travels(facts: Facts, subject: Subject, entry: MotionEntry) -> Value:
    """What is added to the free travel from seat to piston since it was read, m.

    Source: a cut at a valve angle takes away its length over the cosine, a thicker gasket adds its length times the
    cosine, a sunk seat adds its depth; a longer stem or a lash cap adds nothing, but a lower tip may be a raised seat.
    """
    _refuse_void(facts, subject, entry.state, ())
    total = NO_LENGTH
    for change in changes_since(facts, subject, _earlier(facts, entry.state)):
        term = _term(facts, subject, change)
        if term is not None:
            total = derive("length", lambda sum_, one: sum_ + one, total, term)
    return total


def _term(facts: Facts, subject: Subject, change: Change) -> Value | None:
    away = {"block_milled": -1.0, "head_milled": -1.0, "gasket_thickness": 1.0}.get(change.name)
    if away is not None:
        angle = facts.field("heads.valves.{valve}.angle", subject)
        term = derive("length", lambda by, slant: along_valve(away * by, slant), change.value, angle)
    elif change.name == "seat_sunk":
        term = change.value
    elif change.name == "tip_higher" and change.path in ("", STEM):
        term = derive("length", lambda by: min(by, 0.0), change.value)
    else:
        return None
    return with_uncertainty(term, SHARE * abs(term.si), f"effect of {change.name} {subject.valve}")


def _refuse_void(facts: Facts, subject: Subject, state: State | None, voiding: Sequence[str]) -> None:
    if (void := void_since(facts, subject, state, voiding)) is not None:
        raise Undecided(f"the readings of motion are void, {void.reason}: read them again", void.places)


def _earlier(facts: Facts, state: State | None) -> State | None:
    return state if is_earlier(facts, state) else None


def _pair(facts: Facts, state: State | None, path: str, subject: Subject) -> tuple[Value, Value] | None:
    """A field in a state and today; None if it is unchanged, as far as the state shows."""
    then, today = was(facts, state, path, subject) if state is not None else None, now(facts, path, subject)
    if then is None:
        return None
    kind = field_kind(path if path != "rockers.ratio" else "rockers.ratio.{valve}")
    before = facts.reading(then, kind)
    after = facts.reading(today, kind) if today is not None else exact(0.0, kind) if path in NONE_FITTED else before
    return None if before.si == after.si else (before, after)


def _step(facts: Facts, state: State | None, path: str, subject: Subject) -> Value | None:
    pair = _pair(facts, state, path, subject)
    return difference(pair[1], pair[0]) if pair is not None else None


def _ratio_share(facts: Facts, state: State | None, subject: Subject) -> Value | None:
    pair = _pair(facts, state, "rockers.ratio", subject)
    return derive("ratio", lambda before, after: after / before, *pair) if pair is not None else None
