"""The pushrod lengths that satisfy every length rule of one valve, in the convention of ``measured_as``."""

from __future__ import annotations

from dataclasses import dataclass, replace

from buildcheck.build.facts import Facts
from buildcheck.build.trials import is_hydraulic, measured, trials
from buildcheck.core.problem import Place
from buildcheck.core.reason import Cause
from buildcheck.core.subject import Subject
from buildcheck.core.value import NotApplicable, Undecided, Value, exact
from buildcheck.formulas.pushrod_length import adjuster_interval
from buildcheck.ordering.mark_tolerance import Interval, mark_intervals
from buildcheck.quantities import geometry, lengths, marks

SHIM_FIRST = "the pivot height changes first: fit the shim, then measure again"
OTHER_SHIM = (
    "the shim of the last trial differs from the one in rockers.yaml: correct rockers.yaml if it is fitted; "
    "otherwise measure again"
)


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

    def away(self, length: float) -> float:
        """How far a length is from what the valve asks, m; of two intervals, from the nearer middle."""
        if len(self.intervals) == 1:
            return abs(length - self.asked)
        return min(abs(length - (low + high) / 2) for low, high in self.intervals)

    def longer(self, by: float) -> Wanted:
        """What the valve would allow if it asked for a rod longer by so much, m."""
        return replace(
            self, intervals=tuple((low + by, high + by) for low, high in self.intervals), asked=self.asked + by
        )


def wanted(facts: Facts, subject: Subject) -> Wanted:
    """What a measured valve allows. Raises Undecided where it cannot be told yet."""
    _refuse_unshimmed(facts, subject)
    if geometry.pivot_is_free(facts):
        intervals, aim = mark_intervals(facts, subject)
        return Wanted(subject, intervals, aim, False)
    asked = facts.get("length_asked", subject)
    low, high, guard = _fixed(facts, subject, asked)
    return Wanted(subject, (_kept((low + guard, high - guard), asked),), asked.si, False)


def unguarded(facts: Facts, want: Wanted) -> Interval:
    """How far below and above what a measured valve asks for a pushrod serves it, m, its own uncertainty left out."""
    if geometry.pivot_is_free(facts):
        return want.asked - want.intervals[0][0], want.intervals[-1][1] - want.asked
    low, high, _ = _fixed(facts, want.subject, facts.get("length_asked", want.subject))
    return want.asked - low, high - want.asked


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
    for want in [want for want in known if len(want.intervals) > 1]:
        known.remove(want)
        if (narrowed := _as_its_fellows(want, known)) is not None:
            known.append(narrowed)
        else:
            unknown.append((want.subject, Undecided(geometry.READ_CONTACTS, _marks_place(facts))))
    for subject in unmeasured:
        like = _alike(facts, subject, known)
        if like is None:
            unknown.append((subject, Undecided(_nobody_alike(facts, subject, unknown))))
        else:
            known.append(Wanted(subject, like.intervals, like.asked, True))
    return sorted(known, key=lambda want: want.subject.order), sorted(unknown, key=lambda pair: pair[0].order)


def _nobody_alike(facts: Facts, subject: Subject, unknown: list[tuple[Subject, Undecided]]) -> str:
    """Why an unmeasured valve can take no length of others, and which of them to settle."""
    fellows = [other.text for other, _ in unknown if other.valve == subject.valve and measured(facts, other)]
    settle = f"settle {' and '.join(fellows)}, or " if fellows else ""
    return f"no {subject.valve} length is certain enough to assume it for this valve: {settle}measure it"


def _as_its_fellows(want: Wanted, known: list[Wanted]) -> Wanted | None:
    """Of two intervals, the one that valves of the type share whose sign is known; None where it would be a gamble."""
    sure = [one.intervals[0] for one in known if one.subject.valve == want.subject.valve and len(one.intervals) == 1]
    shared = [(low, high) for low, high in want.intervals if any(low <= end and start <= high for start, end in sure)]
    return replace(want, intervals=tuple(shared), asked=sum(shared[0]) / 2) if len(shared) == 1 else None


def _marks_place(facts: Facts) -> tuple[Place, ...]:
    valves = facts.node("marks.valves")
    return (valves.place,) if valves is not None else ()


def _fixed(facts: Facts, subject: Subject, asked: Value) -> tuple[float, float, float]:
    """Around what is asked: the preload range, the lash's tolerance or the screw's travel; and the guard band."""
    adjuster = facts.text("rockers.adjuster")
    if adjuster == "screw":
        shortest, longest = adjuster_interval(asked.si, facts.field("rockers.adjuster_range").si)
        return shortest, longest, _guard(facts, asked)
    if is_hydraulic(facts):
        zero = facts.get("zero_lash_length_to_run", subject)
        low, high = (facts.field(f"cam.lifter.preload.{side}").si for side in ("at_least", "at_most"))
        return zero.si + low, zero.si + high, _guard(facts, zero)
    tolerance = facts.get("lash_tolerance").si / facts.field("rockers.ratio", subject).si
    return asked.si - tolerance, asked.si + tolerance, _guard(facts, asked)


def _guard(facts: Facts, length: Value) -> float:
    tolerance = lengths.rod_tolerance(facts)
    return float((length.expanded**2 + tolerance**2) ** 0.5)


def _kept(interval: Interval, value: Value) -> Interval:
    if interval[0] > interval[1]:
        raise Undecided(
            "the uncertainty of this length is larger than its tolerance: read it with a finer gauge",
            value.places,
        )
    return interval


def _refuse_unshimmed(facts: Facts, subject: Subject) -> None:
    """While a shim is advised and not fitted the order is open: it moves the zero-lash length."""
    if geometry.pivot_is_free(facts):
        return
    last, fitted = trials(facts, subject)[-1], facts.optional("rockers.shim") or exact(0.0, "length")
    if abs(fitted.si - last.shim.si) > 1e-9:
        raise Undecided(OTHER_SHIM, (last.place,))
    off = surely_off(facts, subject)
    if off is None:
        return
    if not marks.is_roller(facts) and facts.told("mark_width", subject) is not None:
        geometry.refuse_out_of_reach(facts, subject)
    raise Undecided(SHIM_FIRST, off.places, Cause("height_error", subject))


def surely_off(facts: Facts, subject: Subject) -> Value | None:
    """How far a fixed pivot, or a plain tip's mark under it, is off where that is surely beyond its limit, m.

    While it is, the order is open for the shim, which would change the length; None where it may stay.
    """
    try:
        off, limit = _height_off(facts, subject)
    except (NotApplicable, Undecided):
        return None
    return off if abs(off.si) - off.expanded > limit else None


def _height_off(facts: Facts, subject: Subject) -> tuple[Value, float]:
    """How far a fixed pivot is off, its sign known or not, and how far it may be, m."""
    if marks.is_roller(facts):
        return facts.get("height_error", subject), facts.bound("pivot_height_fixed", subject).si
    return facts.get("mark_offset", subject), facts.bound("mark_centre_limit", subject).si


def _alike(facts: Facts, subject: Subject, known: list[Wanted]) -> Wanted | None:
    """For an unmeasured valve: what all measured ones of its type (and bank) allow, else the median's."""
    near = measured_like(facts, subject, known)
    if not near:
        return None
    median = sorted(near, key=lambda want: (want.asked, want.subject.order))[(len(near) - 1) // 2]
    low = max(want.intervals[0][0] for want in near)
    high = min(want.intervals[-1][1] for want in near)
    single = all(len(want.intervals) == 1 for want in near)
    return (
        Wanted(subject, ((low, high),), min(max(median.asked, low), high), True) if single and low <= high else median
    )


def measured_like(facts: Facts, subject: Subject, known: list[Wanted]) -> list[Wanted]:
    """What the measured valves allow that stand for an unmeasured one: of its type in its bank, else of its type."""
    bank = bank_of(facts, subject.cylinder)
    own = [want for want in known if want.subject.valve == subject.valve and not want.assumed]
    return [want for want in own if bank_of(facts, want.subject.cylinder) == bank] or own


def bank_of(facts: Facts, cylinder: int | None) -> str:
    """The bank that holds a cylinder; empty where there are no banks."""
    banks = facts.node("block.banks")
    for name, members in banks.entries.items() if banks is not None else ():
        if any(member.value == cylinder for member in members.items):
            return name
    return ""
