"""The risk of an order: how likely a pushrod does not suit a valve that was assumed to match the measured ones."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from buildcheck.build.facts import Facts
from buildcheck.build.field_lookup import gauge_standard
from buildcheck.build.repeats import least_deviation, usual_between_valves
from buildcheck.build.trials import measured, void_causes
from buildcheck.build.usual_gauges import LENGTH
from buildcheck.core.problem import Place
from buildcheck.core.reason import Cause
from buildcheck.core.subject import BUILD, VALVE_TYPES, Subject
from buildcheck.core.value import NotApplicable, Undecided, Unproven, Value
from buildcheck.formulas.assumed_valves import build_risk, misfit_probability, pooled_deviation
from buildcheck.formulas.decision import expanded_uncertainty
from buildcheck.formulas.repeatability import Sample, scatter_chance
from buildcheck.formulas.sample import deviation_of, mean_of
from buildcheck.formulas.spread import by_bank
from buildcheck.ordering.allowed_lengths import LengthRequirement, bank_of, unguarded
from buildcheck.ordering.order import order, requirements_of
from buildcheck.quantities.lengths import rod_tolerance
from buildcheck.record import Record, replace
from buildcheck.units.display import percent_above, rounded_up

UNLIKE_THE_SHOP = 0.05
"""An engine with a deviation between valves that is less likely than this among the shop's is judged by its own."""
FEWEST = 3
"""Measured lengths of a valve type from which the difference between its valves is estimated (engine's own)."""


class AssumedGroup(Record):
    """Unmeasured valves of one type and bank, with the estimate used for them; lengths in m.

    ``ordered``: the pushrod length for each valve. ``lower`` and ``upper``: how far below and above a pushrod the
    required length may lie. ``readings`` of ``mean``; ``deviation`` between valves with its degrees of freedom, zero
    if there are too few readings for one; ``usual_freedom`` is what the shop's other builds add to them.
    """

    ordered: tuple[tuple[Subject, float], ...]
    lower: float
    upper: float
    mean: float
    readings: int
    deviation: float
    freedom: float
    usual_freedom: float = 0.0

    @property
    def valve(self) -> str:
        """The valve type."""
        return self.ordered[0][0].valve or ""


def chance(group: AssumedGroup, length: float) -> float:
    """Chance that a pushrod of one length does not suit a valve of the group; 1 without an estimate."""
    if not group.freedom:
        return 1.0
    sample = group.mean, group.deviation, group.freedom, group.readings
    return misfit_probability(length, group.lower, group.upper, *sample)


def group_risk(group: AssumedGroup) -> float:
    """Chance that a pushrod of the group does not suit its valve: an upper bound."""
    chances = {length: chance(group, length) for length in {length for _, length in group.ordered}}
    return build_risk([chances[length] for _, length in group.ordered])


def order_risk(facts: Facts) -> float:
    """Chance (1) that a pushrod of the order does not suit its valve, for the valves that are assumed.

    Raises NotApplicable if every valve is measured, Undecided if the readings do not show how much valves differ.
    """
    groups = assumed_groups(facts)
    if not groups:
        raise NotApplicable("every valve is measured")
    for group in groups:
        if not group.freedom:
            raise Undecided(_too_few(facts, group), _marks(facts), _lost_reading(facts))
    return build_risk([group_risk(group) for group in groups])


def known_order_risk(facts: Facts) -> float | None:
    """The risk of the order; None if nothing is assumed, or if it cannot be determined."""
    try:
        return order_risk(facts)
    except (NotApplicable, Undecided):
        return None


def accepted_order_risk(facts: Facts, subject: Subject) -> Value:
    """Chance (0 to 1) that a pushrod of the order does not suit a valve that was assumed; undecided above its limit.

    It is an upper bound, rounded up to a tenth of a per cent.
    """
    risk, most = order_risk(facts), facts.bound("assumed_risk_limit", BUILD).si
    if risk > most:
        found = f"up to {percent_above(risk)}; maximum {percent_above(most)}"
        reading = next_reading(facts)
        action = f"measure {reading.text} next" if reading is not None else "measure every valve"
        raise Unproven(action, _marks(facts), _lost_reading(facts), found)
    return Value(rounded_up(risk), "ratio", {}, _marks(facts), f"below {percent_above(risk)}")


def assumed_groups(facts: Facts) -> list[AssumedGroup]:
    """The unmeasured valves that the order serves, by type and bank: made once. Undecided if it cannot serve one."""
    return facts.once("assumed groups", _groups, facts)


def next_reading(facts: Facts) -> Subject | None:
    """The unmeasured valve at which a reading lowers the risk most; of equals, at the ends of the head first."""
    groups = assumed_groups(facts)
    if not groups:
        return None
    best = min(groups, key=lambda group: (group.freedom > 0, risk_after(groups, group), group.readings))
    return min((valve for valve, _ in best.ordered), key=lambda valve: from_end(facts, valve))


def risk_after(groups: Sequence[AssumedGroup], chosen: AssumedGroup) -> float:
    """What is left of the risk once a valve of one group is read and lies at its mean."""
    after = (_with_reading(group, group is chosen, group.valve == chosen.valve) for group in groups)
    return sum(group_risk(group) for group in after)


def _with_reading(group: AssumedGroup, here: bool, same_type: bool) -> AssumedGroup:
    freedom = group.freedom + 1 if same_type and group.freedom else group.freedom
    if not here:
        return replace(group, freedom=freedom)
    return replace(group, ordered=group.ordered[1:], readings=group.readings + 1, freedom=freedom)


def from_end(facts: Facts, subject: Subject) -> tuple[int, int]:
    """How many valves lie between this one and the nearer end of its head, then its cylinder."""
    bank, number = bank_of(facts, subject.cylinder), subject.cylinder or 0
    row = [each for each in range(1, facts.cylinders + 1) if bank_of(facts, each) == bank]
    at = row.index(number)
    return min(at, len(row) - 1 - at), number


def _groups(facts: Facts) -> list[AssumedGroup]:
    for subject, reason in order(facts).unknown:
        if not measured(facts, subject):
            raise Undecided(reason.reason, reason.places, _cause(subject, reason))
    ordered: dict[tuple[str, str], list[tuple[Subject, float]]] = {}
    for line in order(facts).lines:
        for subject in line.assumed:
            key = (subject.valve or "", bank_of(facts, subject.cylinder))
            ordered.setdefault(key, []).append((subject, line.length.measured))
    known = [need for need in requirements_of(facts)[0] if not need.assumed]
    keys = sorted(ordered, key=lambda key: (VALVE_TYPES.index(key[0]), key[1]))
    return [_group(facts, sorted(ordered[key]), [one for one in known if one.subject.valve == key[0]]) for key in keys]


def _group(facts: Facts, ordered: Sequence[tuple[Subject, float]], known: Sequence[LengthRequirement]) -> AssumedGroup:
    """One group; its own bank's mean where that was read, and the deviation within the banks of its type."""
    bank = bank_of(facts, ordered[0][0].cylinder)
    banks = by_bank([need.target for need in known], [bank_of(facts, need.subject.cylinder) for need in known])
    samples = list(banks.values()) if bank in banks else [[need.target for need in known]]
    sample = banks.get(bank, samples[0])
    rooms = [unguarded(facts, need) for need in known]
    shared = _shared_uncertainty(facts, known)
    lower, upper = (min(room[side] for room in rooms) - shared for side in (1, 0))
    return AssumedGroup(tuple(ordered), lower, upper, mean_of(sample), len(sample), *_deviation(facts, samples))


def _deviation(facts: Facts, samples: Sequence[Sequence[float]]) -> tuple[float, float, float]:
    """Standard deviation between valves (m), its degrees of freedom, and how many of them are the shop's.

    The shop's is pooled with this engine's own. Never below what the gauge can show; zero if nothing is known.
    """
    within = [(deviation_of(sample), float(len(sample) - 1)) for sample in samples if len(sample) > 1]
    usual = _usual(facts, within)
    if usual is None and (sum(map(len, samples)) < FEWEST or not within):
        return 0.0, 0.0, 0.0
    deviation, freedom = pooled_deviation(*zip(*within, *([usual] if usual is not None else []), strict=True))
    least = least_deviation(facts, facts.node("marks.length_gauge"))
    return max(deviation, least), freedom, usual[1] if usual is not None else 0.0


def _usual(facts: Facts, within: Sequence[Sample]) -> Sample | None:
    """The shop's deviation between valves, unless this engine's own is larger than chance explains."""
    usual = usual_between_valves(facts)
    if usual is None or not within:
        return usual
    measured = pooled_deviation(*zip(*within, strict=True))
    return usual if scatter_chance([measured], [usual]) >= UNLIKE_THE_SHOP else None


def _shared_uncertainty(facts: Facts, known: Sequence[LengthRequirement]) -> float:
    """Expanded uncertainty (m) of what no difference between valves shows: gauge, pushrod tolerance, shared sources."""
    read = [value.parts for need in known if (value := facts.get_or_none("length_asked", need.subject)) is not None]
    each = Counter(source for parts in read for source in parts)
    shared = [sum(parts.get(source, 0.0) for parts in read) / len(read) for source in each if each[source] > 1]
    gauge = gauge_standard(facts.node("marks.length_gauge"), LENGTH)
    return expanded_uncertainty([gauge, rod_tolerance(facts) / 2, *shared])


def _too_few(facts: Facts, group: AssumedGroup) -> str:
    reading = next_reading(facts)
    void = "".join(f"; {cause}" for cause in void_causes(facts, Subject(None, group.valve)))
    return (
        f"to estimate how much {group.valve} valves differ, {FEWEST} measured lengths are required, two of them in one "
        f"bank. Measure {reading.text if reading else ''} next{void}"
    )


def _lost_reading(facts: Facts) -> Cause | None:
    """The first valve that was measured, and of which the order has no length: it comes before any further reading."""
    lost = ((subject, reason) for subject, reason in order(facts).unknown if measured(facts, subject))
    return next((_cause(subject, reason) for subject, reason in lost), None)


def _cause(subject: Subject, reason: Undecided) -> Cause:
    return reason.cause or Cause("length_misfit", subject)


def _marks(facts: Facts) -> tuple[Place, ...]:
    valves = facts.node("marks.valves")
    return (valves.place,) if valves is not None else ()
