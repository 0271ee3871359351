"""Named quantities between cylinders: spread, bank step, the reading that does not belong, who is still to measure."""

from __future__ import annotations

from collections.abc import Mapping
from math import sqrt

from buildcheck.build.facts import Facts
from buildcheck.build.repeats import compared_repeats, is_worse_day, least_deviation, usual_between_valves
from buildcheck.build.trials import last_with_length, measured, same_type, void_causes, void_readings
from buildcheck.core.plural import counted
from buildcheck.core.problem import Place
from buildcheck.core.subject import VALVE_TYPES, Subject
from buildcheck.core.value import FEW_READINGS, NotApplicable, Undecided, Value, difference
from buildcheck.formulas import outlier, spread
from buildcheck.formulas.distributions import t_quantile
from buildcheck.formulas.repeatability import Sample
from buildcheck.formulas.sample import deviation_of, mean_of
from buildcheck.ordering.allowed_lengths import bank_of
from buildcheck.units.quantity import show


def length_spread(facts: Facts, subject: Subject) -> Value:
    """Range of the required lengths of the measured valves of a type, m: the longest less the shortest."""
    known = required_lengths(facts, subject)
    if len(known) < 2:
        raise NotApplicable("fewer than two lengths of this valve type are determined")
    ends = ends_of_spread(facts, subject)
    unsure = max(ends, key=lambda valve: known[valve].expanded)
    doubt = f", least certain: {unsure.text}" if known[unsure].expanded else ""
    return _range(list(known.values())).with_remark(f"{' to '.join(valve.text for valve in ends)}{doubt}")


def ends_of_spread(facts: Facts, subject: Subject) -> list[Subject]:
    """The valves of a type that ask for the shortest and the longest rod; of valves that ask alike, any."""
    known = required_lengths(facts, subject)
    ranked = sorted(known, key=lambda valve: known[valve].si)
    return [*ranked[:1], *ranked[1:][-1:]]


def length_spread_estimate(facts: Facts, subject: Subject) -> Value:
    """Expected range of the required lengths of all valves of a type, m, estimated from the measured ones."""
    values = [value.si for value in required_lengths(facts, subject).values()]
    if len(values) < 2:
        raise NotApplicable("fewer than two lengths of this valve type are determined")
    freedom = len(values) - 1
    if freedom < 2:
        raise Undecided(f"2 lengths leave 1 degree of freedom: measure a third {subject.valve} valve", _places(facts))
    deviation = max(deviation_of(values), _least_deviation(facts))
    valves = max(facts.cylinders, len(values))
    uncertainty = spread.deviation_uncertainty(deviation, freedom) * spread.expected_range(valves)
    return Value(
        deviation * spread.expected_range(valves),
        "length",
        {f"{FEW_READINGS if len(values) < valves else 'scatter'} {subject.key}": uncertainty},
        _all_places(facts, subject),
        f"{len(values)} of {valves} measured",
    )


def bank_step(facts: Facts, subject: Subject) -> Value:
    """Difference between the mean required lengths of the banks, m.

    Its uncertainty comes from the scatter within the banks.
    """
    known = required_lengths(facts, subject)
    banks = spread.by_bank([value.si for value in known.values()], [bank_of(facts, other.cylinder) for other in known])
    if len(banks) < 2:
        raise NotApplicable("fewer than two banks with a length of this valve type")
    deviation, freedom = spread.deviation_within_banks(list(banks.values()))
    if not freedom:
        raise Undecided(
            f"one length a bank leaves no degree of freedom: measure another {subject.valve} valve", _places(facts)
        )
    means = sorted((mean_of(lengths), len(lengths)) for lengths in banks.values())
    (low, few), (high, many) = means[0], means[-1]
    scatter = max(deviation, _least_deviation(facts)) * sqrt(1 / few + 1 / many)
    return Value(
        high - low,
        "length",
        {f"scatter within banks {subject.key}": t_quantile(0.975, freedom) * scatter / 2},
        _all_places(facts, subject),
        f"from {len(known)} lengths with {counted(freedom, 'degree')} of freedom",
    )


def length_outlier(facts: Facts, subject: Subject) -> Value:
    """1 if the required length of this valve is an outlier among those of its type, 0 if it is not."""
    known = required_lengths(facts, subject)
    if subject not in known:
        raise NotApplicable("its length cannot be determined yet; only determined lengths are compared")
    if len(known) < outlier.SUSPECTS:
        raise NotApplicable(f"{len(known)} readings: {outlier.SUSPECTS} are required to find an outlier")
    found, odd = _outliers(facts)
    if not found.judged:
        raise NotApplicable("the other readings are equal and no uncertainty is stated")
    beyond = subject in odd
    remark = _entered(facts, subject, known) if beyond else f"agrees with the other {len(known) - 1}"
    strength = _strength(facts, found.scatter[subject.valve or ""], len(known), known[subject].expanded)
    return Value(float(beyond), "count", {}, known[subject].places, f"{remark} ({strength})")


def _strength(facts: Facts, scatter: Sample, readings: int, expanded: float) -> str:
    """How much the comparison can show: its degrees of freedom, and which errors it finds in 95 % of engines."""
    deviation, freedom = scatter
    text = f"{counted(round(freedom), 'degree')} of freedom"
    if freedom < 1:
        return text
    least = outlier.findable_error(deviation, freedom, readings, expanded)
    return f"{text}; an error below {show(least, 'length', facts.system)} can remain hidden"


def _entered(facts: Facts, subject: Subject, known: Mapping[Subject, Value]) -> str:
    """The length as read on a valve, and the range of those read on the others of its type."""
    read = {valve: length.si for valve in known if (length := last_with_length(facts, valve).length) is not None}
    entered, others = read.pop(subject, None), sorted(read.values())
    if entered is None or not others:
        return f"disagrees with the other {len(known) - 1}"
    low, high = (show(si, "length", facts.system) for si in (others[0], others[-1]))
    return f"length {show(entered, 'length', facts.system)} entered, {low} to {high} on the other {len(others)}"


def _outliers(facts: Facts) -> tuple[outlier.Outliers, frozenset[Subject]]:
    """The search over the readings of both valve types, once a build, and the valves that it finds."""
    return facts.once("outliers", _search, facts)


def _search(facts: Facts) -> tuple[outlier.Outliers, frozenset[Subject]]:
    types = (Subject(None, valve) for valve in VALVE_TYPES)
    known = {one: value for each in types for one, value in required_lengths(facts, each).items()}
    banks = [bank_of(facts, other.cylinder) for other in known]
    found = outlier.outliers(
        [value.si for value in known.values()],
        [value.expanded for value in known.values()],
        [one.valve or "" for one in known],
        banks if all(banks) else None,
        _least_deviation(facts),
        usual_between_valves(facts) or (0.0, 0.0),
    )
    valves = list(known)
    return found, frozenset(valves[index] for index in found.indices)


def _least_deviation(facts: Facts) -> float:
    return least_deviation(facts, facts.node("marks.length_gauge"))


def _places(facts: Facts) -> tuple[Place, ...]:
    valves = facts.node("marks.valves")
    return (valves.place,) if valves is not None else ()


def _all_places(facts: Facts, subject: Subject) -> tuple[Place, ...]:
    return tuple(dict.fromkeys(place for value in required_lengths(facts, subject).values() for place in value.places))


def repeats_worse_than_usual(facts: Facts, subject: Subject) -> Value:
    """1 if the repeats of this build scatter more than those of the shop usually do (F test, 1 %), 0 if they do not."""
    pairs = compared_repeats(facts)
    if not pairs:
        raise NotApplicable("no repeats of a gauge and reader with a known usual repeatability")
    (observer, (today, freedom), (usual, usually)), *more = pairs
    who = " ".join(filter(None, (observer.gauge, f"by {observer.by}" if observer.by else "")))
    shown = [show(deviation, "length", facts.system, 1) for deviation in (today, usual)]
    remarks_found = (
        f"{who}: today's standard deviation {shown[0]} ({freedom:.0f} degrees of freedom), "
        f"usually {shown[1]} ({usually:.0f})"
    )
    return Value(
        float(is_worse_day(facts)), "count", {}, _places(facts), remarks_found + ("; and others" if more else "")
    )


def valve_measured(facts: Facts, subject: Subject) -> Value:
    """1 if the valve has a trial in marks.yaml, 0 if it is assumed to match the others."""
    marks = facts.node("marks.valves")
    if marks is None:
        raise facts.missing("marks.valves")
    done = measured(facts, subject)
    void = [] if done else void_readings(facts, subject)
    assumed = not done and any(measured(facts, one) for one in facts.subjects("valve") if one.valve == subject.valve)
    remark = "measured" if done else "not measured"
    remark = "not measured, length assumed from the other valves" if assumed else remark
    remark = f"readings void, {void[-1].reason}; length assumed from the other valves" if void else remark
    return Value(float(done), "count", {}, (marks.place,), remark)


def cylinders_to_measure(facts: Facts, subject: Subject) -> Value:
    """Number of cylinders and banks that still need a measured valve of this type before an order can be trusted."""
    block, marks = facts.node("block.cylinders"), facts.node("marks.valves")
    if block is None or marks is None:
        raise facts.missing("block.cylinders" if block is None else "marks.valves")
    done = {other.cylinder for other in same_type(facts, subject) if measured(facts, other)}
    short = max(min(2, facts.cylinders) - len(done), 0)
    banks = facts.node("block.banks")
    empty = [
        name
        for name, bank in (banks.entries if banks else {}).items()
        if bank.items and name not in {bank_of(facts, one) for one in done}
    ]
    remarks_found = [f"{len(done)} of at least 2 cylinders measured"] if short else []
    remarks_found += [f"none measured in the {name} bank" for name in empty]
    remarks_found += void_causes(facts, subject) if remarks_found else []
    return Value(float(max(short, len(empty))), "count", {}, (marks.place,), "; ".join(remarks_found))


def required_lengths(facts: Facts, subject: Subject) -> Mapping[Subject, Value]:
    """Required lengths of the measured valves of the subject's type, as far as they are known."""
    return facts.once(("required lengths", subject.valve), _known_lengths, facts, subject)


def _known_lengths(facts: Facts, subject: Subject) -> dict[Subject, Value]:
    lengths = {other: facts.get_or_none("length_asked", other) for other in same_type(facts, subject)}
    return {other: value for other, value in lengths.items() if value is not None}


def _range(values: list[Value]) -> Value:
    """Largest less smallest, as unsure as these two are: also where they are equal, or any might be the largest."""
    ranked = sorted(values, key=lambda value: value.si)
    places = dict.fromkeys(place for value in values for place in value.places)
    return difference(ranked[-1], ranked[0])._replace(places=tuple(places))
