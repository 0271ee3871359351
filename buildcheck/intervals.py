"""The push rod lengths that satisfy every length rule of one valve, in the convention of ``measured_as``."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from buildcheck.facts import Facts
from buildcheck.formulas import mark, rocker
from buildcheck.quantities import geometry, lengths, marks, valvetrain
from buildcheck.subjects import Subject
from buildcheck.trials import last_mark, trials
from buildcheck.values import NotApplicable, Undecided, Value

Interval = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Wanted:
    """What one valve allows: its intervals (two where the sign of the height error is unknown), and what it asks."""

    subject: Subject
    intervals: tuple[Interval, ...]
    asked: float
    assumed: bool

    def allows(self, length: float) -> bool:
        """Whether a length lies in an interval; a picometre of float noise is let through."""
        return any(low - 1e-12 <= length <= high + 1e-12 for low, high in self.intervals)

    def misfit(self, length: float) -> float:
        """How far a length lies outside the nearest interval, m; zero inside."""
        return min(max(low - length, length - high, 0.0) for low, high in self.intervals)


def wanted(facts: Facts, subject: Subject) -> Wanted:
    """What a measured valve allows. Raises Undecided where it cannot be told yet."""
    _refuse_unshimmed(facts, subject)
    if geometry.pivot_is_free(facts):
        return _free(facts, subject)
    asked = facts.get("length_asked", subject)
    return Wanted(subject, (_kept(_fixed(facts, subject, asked), asked),), asked.si, False)


def all_wanted(facts: Facts) -> tuple[list[Wanted], list[tuple[Subject, Undecided]]]:
    """What every valve allows, unmeasured ones as the measured of their type (and bank); and those still open."""
    known: list[Wanted] = []
    unknown: list[tuple[Subject, Undecided]] = []
    unmeasured: list[Subject] = []
    for subject in facts.subjects("valve"):
        try:
            known.append(wanted(facts, subject))
        except Undecided as reason:
            unknown.append((subject, reason))
        except NotApplicable:
            unmeasured.append(subject)
    for subject in unmeasured:
        like = _alike(facts, subject, known)
        if like is None:
            text = f"no {subject.valve} valve is measured well enough to take its length for this one"
            unknown.append((subject, Undecided(text)))
        else:
            known.append(Wanted(subject, like.intervals, like.asked, True))
    return sorted(known, key=lambda want: want.subject.order), sorted(unknown, key=lambda pair: pair[0].order)


def _fixed(facts: Facts, subject: Subject, asked: Value) -> Interval:
    """Around what is asked: the preload range, the lash's tolerance or the screw's travel, less the guard band."""
    adjuster = facts.text("rockers.adjuster")
    if adjuster == "screw":
        travel = facts.field("rockers.adjuster_range").si
        return asked.si - travel + asked.expanded, asked.si + travel - asked.expanded
    if valvetrain.is_hydraulic(facts):
        zero = facts.get("zero_lash_length_to_run", subject)
        guard = _guard(facts, zero)
        low, high = (facts.field(f"cam.lifter.preload.{side}").si for side in ("at_least", "at_most"))
        return zero.si + low + guard, zero.si + high - guard
    ratio = facts.field("rockers.ratio", subject).si
    tolerance = facts.get("lash_tolerance").si / ratio
    guard = _guard(facts, asked)
    return asked.si - tolerance + guard, asked.si + tolerance - guard


def _free(facts: Facts, subject: Subject) -> Wanted:
    """Around each height error that the readings allow: as far as the mark's rules let the pivot be off."""
    factor = geometry.length_per_height(facts, subject).si
    if not marks.is_roller(facts):
        asked = facts.get("length_asked", subject)
        room = _shoe_room(facts, subject) * factor
        return Wanted(subject, (_kept((asked.si - room, asked.si + room), asked),), asked.si, False)
    q = facts.get("height_error", subject)
    base = lengths.asked_with(facts, subject, lengths.last_length(facts, subject)).si
    room = _roller_room(facts, subject, q.si) * factor
    centres = (
        [base + q.si * factor]
        if q.sign_known or abs(q.si) <= q.expanded
        else [base - q.si * factor, base + q.si * factor]
    )
    if room < 0:
        raise Undecided(
            "no push rod length centres this mark: the rocker's arm, guide plate, stud's lean or a lash cap must",
            q.places,
        )
    return Wanted(subject, tuple((centre - room, centre + room) for centre in centres), centres[-1], False)


def _roller_room(facts: Facts, subject: Subject, q: float) -> float:
    """The largest height error, m, at which the mark's rules still hold as predicted; below zero where none."""
    limit = _limit(facts, "geometry-at-mid-lift", "at_most", subject)
    holds = _predicted(facts, subject, q)
    if holds is None or holds(limit):
        return limit
    if not holds(0.0):
        return -1.0
    low, high = 0.0, limit
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if holds(middle) else (low, middle)
    return low


def _predicted(facts: Facts, subject: Subject, q: float) -> Callable[[float], bool] | None:
    """Whether the mark predicted at another height error stays on the tip and centred; None without a mark."""
    try:
        trial = last_mark(facts, subject)
    except NotApplicable:
        return None
    assert trial.mark is not None
    arm, lift = facts.field("rockers.valve_arm").si, valvetrain.gross_lift(facts, subject).si
    tip = marks.tip_diameter(facts, subject).si
    edges = trial.mark[0].si, trial.mark[1].si
    centre = mark.mark_offset(*edges, tip)
    band = max(edges[1] - edges[0] - rocker.width_at(arm, lift, q), 0.0)
    pivot_offset = rocker.pivot_offset_from_centre(arm, lift, q, centre)
    off_most, margin_least = _mark_limits(facts, subject)

    def holds(other: float) -> bool:
        centre = abs(rocker.centre_at(arm, lift, other, pivot_offset))
        width = rocker.width_at(arm, lift, other) + band
        return centre <= off_most and tip / 2 - centre - width / 2 >= margin_least

    return holds


def _shoe_room(facts: Facts, subject: Subject) -> float:
    """How far the pivot may be off, m, with the mark's centre still in its limits and the mark on the tip."""
    width, lift = marks.mark_width(facts, subject).si, valvetrain.gross_lift(facts, subject).si
    trial = last_mark(facts, subject)
    assert trial.mark is not None
    off_most, margin_least = _mark_limits(facts, subject)
    beside = (marks.tip_diameter(facts, subject).si - (trial.mark[1].si - trial.mark[0].si)) / 2 - margin_least
    return min(off_most, beside) * lift / width


def _mark_limits(facts: Facts, subject: Subject) -> tuple[float, float]:
    return (
        _limit(facts, "mark-centred", "at_most", subject),
        _limit(facts, "mark-on-tip", "at_least", subject),
    )


def _limit(facts: Facts, rule_id: str, side: str, subject: Subject) -> float:
    limit = facts.limit(facts, rule_id, side, subject)
    if limit is None:
        raise Undecided(f"there is no rule {rule_id} to tell how far a length may be off")
    return limit.si


def _guard(facts: Facts, length: Value) -> float:
    tolerance = lengths.rod_tolerance(facts)
    return float((length.expanded**2 + tolerance**2) ** 0.5)


def _kept(interval: Interval, value: Value) -> Interval:
    if interval[0] > interval[1]:
        raise Undecided(
            "the uncertainty of this length is wider than what it may be off: read it with a finer gauge",
            value.places,
        )
    return interval


def _refuse_unshimmed(facts: Facts, subject: Subject) -> None:
    """While a shim is advised and not fitted the order is open: it moves the zero-lash length."""
    if geometry.pivot_is_free(facts):
        return
    last, fitted = trials(facts, subject)[-1], facts.optional("rockers.shim")
    if fitted is not None and abs(fitted.si - last.shim.si) > 1e-9:
        raise Undecided("the last trial was made with another shim than is fitted: measure again", (last.place,))
    try:
        shim = facts.get("shim_for_mark", subject)
        limit = facts.limit(facts, "geometry-fixed-mount", "at_most", subject)
    except (NotApplicable, Undecided):
        return
    if limit is not None and abs(shim.si) - shim.expanded > limit.si:
        raise Undecided(
            "the mark asks for a change of the pivot's height first: fit the shim, then measure again",
            shim.places,
        )


def _alike(facts: Facts, subject: Subject, known: list[Wanted]) -> Wanted | None:
    """For an unmeasured valve: what all measured ones of its type (and bank) allow, else the median's."""
    bank = bank_of(facts, subject.cylinder)
    own = [want for want in known if want.subject.valve == subject.valve and not want.assumed]
    near = [want for want in own if bank_of(facts, want.subject.cylinder) == bank] or own
    if not near:
        return None
    median = sorted(near, key=lambda want: (want.asked, want.subject.order))[(len(near) - 1) // 2]
    low = max(want.intervals[0][0] for want in near)
    high = min(want.intervals[-1][1] for want in near)
    single = all(len(want.intervals) == 1 for want in near)
    return (
        Wanted(subject, ((low, high),), min(max(median.asked, low), high), True) if single and low <= high else median
    )


def bank_of(facts: Facts, cylinder: int | None) -> str:
    """The bank that holds a cylinder; empty where there are no banks."""
    banks = facts.node("block.banks")
    for name, members in banks.entries.items() if banks is not None else ():
        if any(member.value == cylinder for member in members.items):
            return name
    return ""
