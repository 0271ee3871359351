"""The pushrod lengths that satisfy every length rule of one valve, in the convention of ``measured_as``."""

from __future__ import annotations

from math import sqrt

from buildcheck.build.facts import Facts
from buildcheck.build.trials import measured, trials
from buildcheck.build.usual_gauges import usual_instrument
from buildcheck.core.problem import Place
from buildcheck.core.reason import Cause
from buildcheck.core.subject import Subject
from buildcheck.core.value import NotApplicable, Undecided, Value, exact
from buildcheck.formulas.decision import ABSOLUTE_NOISE
from buildcheck.formulas.pushrod_length import adjuster_interval
from buildcheck.ordering.mark_tolerance import Interval, mark_intervals
from buildcheck.quantities import height_trials, lengths, pivot_motion
from buildcheck.record import Record, replace
from buildcheck.units.quantity import show

SHIM_FIRST = "the pivot height changes first: fit the shim, then measure again"
COARSE_PUSHRODS = "the length tolerance of the pushrods leaves no allowed length: order pushrods with a smaller one"
OTHER_SHIM = (
    "the shim of the last trial differs from the one in rockers.yaml: correct rockers.yaml if it is fitted; "
    "otherwise measure again"
)


class LengthRequirement(Record):
    """The required length of one valve and its intervals: two where the sign of the height error is unknown."""

    subject: Subject
    intervals: tuple[Interval, ...]
    target: float
    assumed: bool

    def allows(self, length: float) -> bool:
        """Whether a length lies in an interval, float noise aside."""
        for low, high in self.intervals:  # noqa: SIM110 - a loop is several times as fast as any() here
            if low - ABSOLUTE_NOISE <= length <= high + ABSOLUTE_NOISE:
                return True
        return False

    def distance_outside(self, length: float) -> float:
        """How far a length lies outside the nearest interval, m; zero inside."""
        return min(max(low - length, length - high, 0.0) for low, high in self.intervals)

    def distance(self, length: float) -> float:
        """How far a length is from the required length, m; of two intervals, from the nearer middle."""
        if len(self.intervals) == 1:
            return abs(length - self.target)
        return min(abs(length - (low + high) / 2) for low, high in self.intervals)


def length_requirement(facts: Facts, subject: Subject) -> LengthRequirement:
    """What a measured valve allows. Raises Undecided if it cannot be determined yet."""
    _require_fitted_shim(facts, subject)
    if facts.pivot_is_free:
        intervals, aim = mark_intervals(facts, subject)
        return LengthRequirement(subject, intervals, aim, False)
    target = facts.get("length_asked", subject)
    low, high, guard = _fixed_pivot_interval(facts, subject, target)
    return LengthRequirement(subject, (_less_guard_band(facts, (low, high), guard, target),), target.si, False)


def unguarded(facts: Facts, need: LengthRequirement) -> Interval:
    """How far below and above the required length a pushrod suits a measured valve, m, without its uncertainty."""
    if facts.pivot_is_free:
        return need.target - need.intervals[0][0], need.intervals[-1][1] - need.target
    low, high, _ = _fixed_pivot_interval(facts, need.subject, facts.get("length_asked", need.subject))
    return need.target - low, high - need.target


def length_requirements(facts: Facts) -> tuple[list[LengthRequirement], list[tuple[Subject, Undecided]]]:
    """What every valve allows, unmeasured ones as the measured of their type (and bank); and those still open."""
    known: list[LengthRequirement] = []
    unknown: list[tuple[Subject, Undecided]] = []
    unmeasured: list[Subject] = []
    for subject in facts.subjects("valve"):
        try:
            known.append(length_requirement(facts, subject))
        except Undecided as reason:
            unknown.append((subject, reason))
        except NotApplicable:
            unmeasured.append(subject)
    for need in [need for need in known if len(need.intervals) > 1]:
        known.remove(need)
        if (narrowed := _resolve_sign_from_peers(need, known)) is not None:
            known.append(narrowed)
        else:
            unknown.append((need.subject, Undecided(height_trials.READ_CONTACTS, _marks_place(facts))))
    for subject in unmeasured:
        from_peers = _from_peers(facts, subject, known)
        if from_peers is None:
            unknown.append((subject, Undecided(_no_peers_reason(facts, subject, unknown))))
        else:
            known.append(LengthRequirement(subject, from_peers.intervals, from_peers.target, True))
    return sorted(known, key=lambda need: need.subject.order), sorted(unknown, key=lambda pair: pair[0].order)


def _no_peers_reason(facts: Facts, subject: Subject, unknown: list[tuple[Subject, Undecided]]) -> str:
    """Why an unmeasured valve can take no length of others, and which of them to measure more closely."""
    peers = [other.text for other, _ in unknown if other.valve == subject.valve and measured(facts, other)]
    settle = f"settle {' and '.join(peers)}, or " if peers else ""
    return f"no {subject.valve} length is certain enough to assume it for this valve: {settle}measure it"


def _resolve_sign_from_peers(need: LengthRequirement, known: list[LengthRequirement]) -> LengthRequirement | None:
    """Of two intervals, the one shared by valves of the type with a known sign; None where that does not decide."""
    sure = [one.intervals[0] for one in known if one.subject.valve == need.subject.valve and len(one.intervals) == 1]
    shared = [(low, high) for low, high in need.intervals if any(low <= end and start <= high for start, end in sure)]
    return replace(need, intervals=tuple(shared), target=sum(shared[0]) / 2) if len(shared) == 1 else None


def _marks_place(facts: Facts) -> tuple[Place, ...]:
    valves = facts.node("marks.valves")
    return (valves.place,) if valves is not None else ()


def _fixed_pivot_interval(facts: Facts, subject: Subject, target: Value) -> tuple[float, float, float]:
    """Around what is asked: the preload range, the lash's tolerance or the screw's travel; and the guard band."""
    adjuster = facts.text("rockers.adjuster")
    if adjuster == "screw":
        shortest, longest = adjuster_interval(target.si, facts.field("rockers.adjuster_range").si)
        return shortest, longest, _guard_band(facts, target)
    if facts.is_hydraulic:
        zero = facts.get("zero_lash_length_to_run", subject)
        low, high = (facts.field(f"cam.lifter.preload.{side}").si for side in ("at_least", "at_most"))
        return zero.si + low, zero.si + high, _guard_band(facts, zero)
    tolerance = facts.get("lash_tolerance").si / facts.field("rockers.ratio", subject).si
    return target.si - tolerance, target.si + tolerance, _guard_band(facts, target)


def _guard_band(facts: Facts, length: Value) -> float:
    tolerance = lengths.rod_tolerance(facts)
    return float((length.expanded**2 + tolerance**2) ** 0.5)


def _less_guard_band(facts: Facts, span: Interval, guard: float, value: Value) -> Interval:
    """A span less its guard band. Raises Undecided, with the uncertainty that would do, if nothing is left of it."""
    low, high = span
    if low + guard <= high - guard:
        return low + guard, high - guard
    most, tolerance = (high - low) / 2, lengths.rod_tolerance(facts)
    if tolerance >= most:
        raise Undecided(COARSE_PUSHRODS, value.places)
    needed = sqrt(most**2 - tolerance**2)
    gauge = usual_instrument("length", needed)
    raise Undecided(
        "the uncertainty of this length is larger than its tolerance: read it with a finer gauge, "
        f"good to {show(needed, 'length', facts.system)}{f', such as a {gauge}' if gauge else ''}",
        value.places,
    )


def _require_fitted_shim(facts: Facts, subject: Subject) -> None:
    """While a shim is advised and not fitted the order is open: it moves the zero-lash length."""
    if facts.pivot_is_free:
        return
    last, fitted = trials(facts, subject)[-1], facts.optional("rockers.shim") or exact(0.0, "length")
    if abs(fitted.si - last.shim.si) > 1e-9:
        raise Undecided(OTHER_SHIM, (last.place,))
    error = significant_pivot_error(facts, subject)
    if error is None:
        return
    if not facts.is_roller and facts.get_or_none("mark_width", subject) is not None:
        pivot_motion.refuse_out_of_reach(facts, subject)
    raise Undecided(SHIM_FIRST, error.places, Cause("height_error", subject))


def significant_pivot_error(facts: Facts, subject: Subject) -> Value | None:
    """How far a fixed pivot, or a plain tip's mark under it, is off where that is surely beyond its limit, m.

    While it is, the order is open for the shim, which would change the length; None where it may stay.
    """
    try:
        error, limit = _pivot_error_and_limit(facts, subject)
    except (NotApplicable, Undecided):
        return None
    return error if abs(error.si) - error.expanded > limit else None


def _pivot_error_and_limit(facts: Facts, subject: Subject) -> tuple[Value, float]:
    """How far a fixed pivot is off, its sign known or not, and how far it may be, m."""
    if facts.is_roller:
        return facts.get("height_error", subject), facts.bound("pivot_height_fixed", subject).si
    return facts.get("mark_offset", subject), facts.bound("mark_centre_limit", subject).si


def _from_peers(facts: Facts, subject: Subject, known: list[LengthRequirement]) -> LengthRequirement | None:
    """For an unmeasured valve: what all measured ones of its type (and bank) allow, else the median's."""
    peers = measured_peers(facts, subject, known)
    if not peers:
        return None
    median = sorted(peers, key=lambda need: (need.target, need.subject.order))[(len(peers) - 1) // 2]
    low = max(need.intervals[0][0] for need in peers)
    high = min(need.intervals[-1][1] for need in peers)
    single = all(len(need.intervals) == 1 for need in peers)
    return (
        LengthRequirement(subject, ((low, high),), min(max(median.target, low), high), True)
        if single and low <= high
        else median
    )


def measured_peers(facts: Facts, subject: Subject, known: list[LengthRequirement]) -> list[LengthRequirement]:
    """What the valves allow that an unmeasured one is assumed to match: of its type in its bank, else of its type."""
    bank = bank_of(facts, subject.cylinder)
    peers = [need for need in known if need.subject.valve == subject.valve and not need.assumed]
    return [need for need in peers if bank_of(facts, need.subject.cylinder) == bank] or peers


def bank_of(facts: Facts, cylinder: int | None) -> str:
    """The bank that holds a cylinder; empty where there are no banks."""
    return facts.once("banks", _banks, facts).get(cylinder, "")


def _banks(facts: Facts) -> dict[object, str]:
    """The bank of each cylinder that is in one; in the first one where several hold it."""
    banks = facts.node("block.banks")
    found: dict[object, str] = {}
    for name, members in banks.entries.items() if banks is not None else ():
        for member in members.items:
            found.setdefault(member.value, name)
    return found
