"""Which valve to read next, by what its reading would change, and when no further reading is needed."""

from __future__ import annotations

from collections.abc import Iterator

from buildcheck.build.facts import Facts
from buildcheck.build.trials import measured
from buildcheck.core.subject import BUILD, Subject
from buildcheck.core.value import NotApplicable, Undecided
from buildcheck.ordering.allowed_lengths import bank_of
from buildcheck.ordering.assumed_risk import (
    AssumedGroup,
    assumed_groups,
    chance,
    from_end,
    known_order_risk,
    risk_after,
)
from buildcheck.record import Record


class NextReading(Record):
    """One unmeasured valve. Chances are 1 for certain, None while there are too few readings for one.

    ``required``: without a reading in its place no order can be decided; ``decides``: its reading, near the mean of the
    others, brings the risk of the order within its limit; ``changes_order``: chance that it shows another length to be
    required; ``risk_after``: what is then left of the risk.
    """

    subject: Subject
    required: bool
    decides: bool
    changes_order: float | None
    risk_after: float | None


class NextReadings(Record):
    """All readings left, the most useful first; the risk of the order as it is, and the most that is accepted."""

    ranked: tuple[NextReading, ...]
    risk: float | None
    limit: float | None

    @property
    def may_stop(self) -> bool:
        """Whether the order can be decided without any of them."""
        return self.risk is not None and self.limit is not None and self.risk <= self.limit


def next_readings(facts: Facts) -> NextReadings:
    """The valves without a reading: first those that an order requires, then by what is left of the risk."""
    risk, limit = known_order_risk(facts), _limit(facts)
    found = [
        _reading(facts, subject, risk, limit) for subject in facts.subjects("valve") if not measured(facts, subject)
    ]
    return NextReadings(tuple(sorted(found, key=lambda one: _rank(facts, one))), risk, limit)


def _reading(facts: Facts, subject: Subject, risk: float | None, limit: float | None) -> NextReading:
    groups = _groups(facts)
    group = next((one for one in groups if subject in dict(one.ordered)), None)
    if group is None or risk is None:
        return NextReading(subject, _required(facts, subject, group), False, None, None)
    after = risk_after(groups, group)
    decides = limit is not None and risk > limit >= after
    return NextReading(subject, False, decides, chance(group, dict(group.ordered)[subject]), after)


def _required(facts: Facts, subject: Subject, group: AssumedGroup | None) -> bool:
    """Whether its type, or its bank, still has too few readings for any order, or for an estimate of the risk."""
    if group is not None:
        return not group.freedom
    lack = facts.get_or_none("cylinders_to_measure", Subject(None, subject.valve))
    return lack is None or (lack.si > 0 and not any(_measured_in_bank(facts, subject)))


def _measured_in_bank(facts: Facts, subject: Subject) -> Iterator[Subject]:
    bank = bank_of(facts, subject.cylinder)
    for other in facts.subjects("valve"):
        if other.valve == subject.valve and bank and bank_of(facts, other.cylinder) == bank and measured(facts, other):
            yield other


def _rank(facts: Facts, one: NextReading) -> tuple[bool, float, float, int, tuple[int, int], int]:
    """Required first, then least risk left, the likelier change, fewest readings in its bank, nearest to an end."""
    done = sum(1 for _ in _measured_in_bank(facts, one.subject))
    after = 1.0 if one.risk_after is None else one.risk_after
    return (
        not one.required,
        after,
        -(one.changes_order or 0.0),
        done,
        from_end(facts, one.subject),
        one.subject.order[1],
    )


def _groups(facts: Facts) -> list[AssumedGroup]:
    try:
        return assumed_groups(facts)
    except (NotApplicable, Undecided):
        return []


def _limit(facts: Facts) -> float | None:
    try:
        return facts.bound("assumed_risk_limit", BUILD).si
    except (NotApplicable, Undecided):
        return None
