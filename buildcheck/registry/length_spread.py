"""Named quantities between cylinders: spread, bank step, the reading that does not belong, who is still to measure."""

from __future__ import annotations

from statistics import fmean

from buildcheck.build.facts import Facts
from buildcheck.build.trials import measured, same_type, void_causes, void_readings
from buildcheck.core.subject import Subject
from buildcheck.core.value import NotApplicable, Value, derive, difference
from buildcheck.formulas import spread
from buildcheck.ordering.allowed_lengths import bank_of


def length_spread(facts: Facts, subject: Subject) -> Value:
    """Range of the lengths asked by the measured valves of a type, m: the longest less the shortest."""
    known = required_lengths(facts, subject)
    if len(known) < 2:
        raise NotApplicable("fewer than two lengths of this valve type can be told")
    ends = ends_of_spread(facts, subject)
    unsure = max(ends, key=lambda valve: known[valve].expanded)
    doubt = f", most of its doubt in {unsure.text}" if known[unsure].expanded else ""
    return _range(list(known.values())).with_remark(f"{' to '.join(valve.text for valve in ends)}{doubt}")


def ends_of_spread(facts: Facts, subject: Subject) -> list[Subject]:
    """The valves of a type that ask for the shortest and the longest rod; of valves that ask alike, any."""
    known = required_lengths(facts, subject)
    ranked = sorted(known, key=lambda valve: known[valve].si)
    return [*ranked[:1], *ranked[1:][-1:]]


def bank_step(facts: Facts, subject: Subject) -> Value:
    """Difference between the banks' mean lengths asked, m."""
    known = required_lengths(facts, subject)
    banks = spread.by_bank([*known.values()], [bank_of(facts, other.cylinder) for other in known])
    if len(banks) < 2:
        raise NotApplicable("fewer than two banks with a length of this valve type")
    return _range([derive("length", lambda *each: fmean(each), *own) for own in banks.values()])


def length_outlier(facts: Facts, subject: Subject) -> Value:
    """1 where this valve's length asked does not belong among those of its type, 0 where it does."""
    known = required_lengths(facts, subject)
    if subject not in known:
        raise NotApplicable("its length cannot be determined yet; only determined lengths are compared")
    own = known[subject]
    values = [value.si for value in known.values()]
    banks = [bank_of(facts, other.cylinder) for other in known]
    found = spread.outliers(values, [value.expanded for value in known.values()], banks if all(banks) else None)
    if not found.judged:
        raise NotApplicable(found.remark)
    beyond = list(known).index(subject) in found.indices
    remarks_found = f"{'does not belong' if beyond else 'belongs'} among {len(values)}"
    return Value(
        float(beyond), "count", {}, own.places, f"{remarks_found} ({found.remark})" if found.remark else remarks_found
    )


def valve_measured(facts: Facts, subject: Subject) -> Value:
    """1 where the valve has a trial in marks.yaml, 0 where it is taken to be as others."""
    marks = facts.node("marks.valves")
    if marks is None:
        raise facts.missing("marks.valves")
    done = measured(facts, subject)
    void = [] if done else void_readings(facts, subject)
    remarks_found = "measured" if done else "not measured, its length is assumed"
    remarks_found = f"readings void, {void[-1].reason}; its length is assumed" if void else remarks_found
    return Value(float(done), "count", {}, (marks.place,), remarks_found)


def cylinders_to_measure(facts: Facts, subject: Subject) -> Value:
    """How many cylinders, and banks, still lack a measured valve of this type before an order can be trusted."""
    block, marks = facts.node("block.cylinders"), facts.node("marks.valves")
    if block is None or marks is None:
        raise facts.missing("block.cylinders" if block is None else "marks.valves")
    done = {other.cylinder for other in same_type(facts, subject) if measured(facts, other)}
    short = max(min(2, facts.cylinders) - len(done), 0)
    banks = facts.node("block.banks")
    empty = [
        name
        for name, own in (banks.entries if banks else {}).items()
        if own.items and name not in {bank_of(facts, one) for one in done}
    ]
    remarks_found = [f"{len(done)} of at least 2 cylinders measured"] if short else []
    remarks_found += [f"none measured in the {name} bank" for name in empty]
    remarks_found += void_causes(facts, subject) if remarks_found else []
    return Value(float(max(short, len(empty))), "count", {}, (marks.place,), "; ".join(remarks_found))


def required_lengths(facts: Facts, subject: Subject) -> dict[Subject, Value]:
    """Lengths asked by the measured valves of the subject's type, as far as they can be told."""
    lengths = {other: facts.get_or_none("length_asked", other) for other in same_type(facts, subject)}
    return {other: value for other, value in lengths.items() if value is not None}


def _range(values: list[Value]) -> Value:
    """Largest less smallest, as unsure as these two are: also where they are equal, or any might be the largest."""
    ranked = sorted(values, key=lambda value: value.si)
    places = dict.fromkeys(place for value in values for place in value.places)
    return difference(ranked[-1], ranked[0])._replace(places=tuple(places))
