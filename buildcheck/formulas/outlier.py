"""Which readings do not belong among the others of their valve type, and how large an error must be to be found.

Valves of both types of an engine are expected to differ alike (common practice, no published source), so the scatter
of both together shows what chance explains; a type that scatters clearly more than the other is judged by its own.
All lengths and deviations of a call are in one unit.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import lru_cache
from math import erf, exp, inf, lgamma, log, sqrt

from buildcheck.formulas.assumed_valves import pooled_deviation
from buildcheck.formulas.decision import RELATIVE_NOISE
from buildcheck.formulas.distributions import f_probability, t_probability, t_quantile
from buildcheck.formulas.numeric import find_root
from buildcheck.formulas.repeatability import Sample
from buildcheck.formulas.sample import mean_of
from buildcheck.formulas.spread import deviation_within_banks
from buildcheck.record import Record

FEWEST_IN_A_BANK = 3
SUSPECTS = 4
"""One reading in so many may be an outlier; more of them are a broad spread."""
FALSE_ALARMS = 0.01
"""Share of good sets of a valve type in which one test may find an outlier; several in a row stay below 2 %."""
OTHER_SCATTER = 0.01
"""Chance of the F test below which the scatter of the other type and of the shop does not count."""
FOUND = 0.95
"""Share of engines in which an error is found that is as large as stated."""
ONE_SIDED = 1.645
"""Standard deviations within which 95 % of normal values lie on one side."""
_WIDEST, _STEPS = 5.0, 120
"""The chi integral ends at 1 + 5/sqrt(freedom), some 7 standard deviations above 1, in so many Simpson steps."""

Group = tuple[str, str]
"""Valve type and bank of a reading; no bank if it is held against all readings of its type."""
Readings = Mapping[int, tuple[float, Group]]
"""Index -> a reading and its group."""


class Outliers(Record):
    """Which readings (by index) to take again; ``judged``: whether that can be determined.

    ``scatter``: for each valve type the standard deviation that decided, with its degrees of freedom for one reading.
    """

    indices: tuple[int, ...]
    judged: bool
    scatter: Mapping[str, Sample]


def outliers(
    values: Sequence[float],
    expanded: Sequence[float],
    valves: Sequence[str],
    banks: Sequence[str] | None = None,
    least: float = 0.0,
    known: Sample = (0.0, 0.0),
) -> Outliers:
    """Readings that lie further from the mean of the others than chance and their expanded uncertainty explain.

    Args: values; expanded: expanded uncertainty of each; valves: valve type of each; banks: bank of each, which is held
    against its own bank's mean if every bank has 3 readings of the type; least: smallest standard deviation that the
    gauge can show; known: a standard deviation between valves found before, and its degrees of freedom (1).

    Source: generalized extreme Studentized deviate test (Rosner 1983), as in the NIST/SEMATECH e-Handbook 1.3.5.17.3
    (from memory), with the scatter of all groups pooled (2.4.4); its first step on one group is the Grubbs test of
    1.3.5.17.1. The F test that keeps scatters apart: 1.3.5.9 (from memory).

    >>> outliers([9.40, 9.41, 9.40, 9.42, 9.41, 9.55], [0.01] * 6, ["intake"] * 6).indices
    (5,)
    """
    readings = dict(enumerate(zip(values, _groups(valves, banks), strict=True)))
    left, taken, found = dict(readings), list[int](), 0
    while suspects := [i for i in left if _may_be_one(valves, taken, valves[i])]:
        other = {valve: _other_scatter(left, valve, known) for valve in dict.fromkeys(valves)}
        scores = [_score(left, i, least, other[valves[i]]) for i in suspects]
        score, worst, freedom = max(scores, key=lambda one: one[0])
        if score == inf and min(expanded) <= 0:
            return Outliers((), False, {})
        alike = sum(valves[i] == valves[worst] for i in left)
        found = len(taken) + 1 if _chance(score, freedom, alike) < FALSE_ALARMS else found
        taken.append(worst)
        del left[worst]
    beyond = [i for i in taken[:found] if _is_beyond(values[i], expanded[i], _others(left, readings[i][1]))]
    good = {i: one for i, one in readings.items() if i not in taken[:found]}
    scatter = {
        valve: _deviation(good, valve, least, _other_scatter(good, valve, known)) for valve in dict.fromkeys(valves)
    }
    return Outliers(tuple(sorted(beyond)), True, {valve: (s, max(free - 1, 0)) for valve, (s, free) in scatter.items()})


def _may_be_one(valves: Sequence[str], taken: Sequence[int], valve: str) -> bool:
    """Whether one more reading of a type may be an outlier."""
    return sum(valves[i] == valve for i in taken) < valves.count(valve) // SUSPECTS


def _groups(valves: Sequence[str], banks: Sequence[str] | None) -> list[Group]:
    if banks is None:
        return [(valve, "") for valve in valves]
    groups = list(zip(valves, banks, strict=True))
    few = {valve for valve, bank in groups if groups.count((valve, bank)) < FEWEST_IN_A_BANK}
    return [(valve, "" if valve in few else bank) for valve, bank in groups]


def _score(left: Readings, index: int, least: float, other: Sample) -> tuple[float, int, float]:
    """Student's t of a reading against the mean of its group's others, its index and its degrees of freedom.

    Zero for a lone one; infinite if all other readings are equal and nothing else is known of their deviation.
    """
    value, group = left[index]
    rest = {i: one for i, one in left.items() if i != index}
    others = _others(rest, group)
    away = abs(value - mean_of(others)) if others else 0.0
    deviation, freedom = _deviation(rest, group[0], least, other)
    if not freedom or away <= _noise(value):
        return 0.0, index, 1.0
    return (away / (deviation * sqrt(1 + 1 / len(others))) if deviation > _noise(value) else inf), index, freedom


def _other_scatter(left: Readings, valve: str, known: Sample) -> Sample:
    """Standard deviation of the readings of all other types and of the shop, pooled, with its degrees of freedom."""
    return _pool(_scatter(one for one in left.values() if one[1][0] != valve), known)


def _deviation(rest: Readings, valve: str, least: float, other: Sample) -> Sample:
    """Standard deviation of readings of a type with its degrees of freedom: all pooled, or the type's own."""
    of_type = _scatter(one for one in rest.values() if one[1][0] == valve)
    of_type, other = ((max(deviation, least), freedom) for deviation, freedom in (of_type, other))
    if (  # a type that scatters less than the other never scatters clearly more
        of_type[1]
        and other[1]
        and 0 < other[0] < of_type[0]
        and 1 - f_probability((of_type[0] / other[0]) ** 2, of_type[1], other[1]) < OTHER_SCATTER
    ):
        return of_type
    return _pool(of_type, other)


def _pool(one: Sample, other: Sample) -> Sample:
    return pooled_deviation(*zip(one, other, strict=True)) if one[1] + other[1] else (0.0, 0.0)


def _scatter(readings: Iterable[tuple[float, Group]]) -> Sample:
    """Standard deviation about the mean of each group, with its degrees of freedom."""
    groups: dict[Group, list[float]] = {}
    for value, group in readings:
        groups.setdefault(group, []).append(value)
    return deviation_within_banks(list(groups.values()))


def _chance(score: float, freedom: float, readings: int) -> float:
    """Chance that any of so many good readings has such a score, or a greater one (Bonferroni)."""
    return 2 * readings * (1 - t_probability(score, freedom)) if score < inf else 0.0


def _noise(value: float) -> float:
    return RELATIVE_NOISE * abs(value)


def _others(left: Readings, group: Group) -> list[float]:
    return [value for value, of in left.values() if of == group]


def _is_beyond(value: float, expanded: float, others: Sequence[float]) -> bool:
    """Whether a reading lies beyond its expanded uncertainty from the mean of the others, each as uncertain."""
    return abs(value - mean_of(others)) > expanded * sqrt(1 + 1 / len(others))


def findable_error(deviation: float, freedom: float, readings: int, expanded: float) -> float:
    """The least error of one reading that is found in 95 % of engines, in the unit of the deviation.

    Args: deviation between good valves; freedom: degrees of freedom (1) of the test, above 0; readings: of the valve
    type, at least 2; expanded: expanded uncertainty of the reading. The others are good and normal.
    Source: power of Student's t test; the chi density is a textbook one (from memory).

    >>> [round(findable_error(0.003, freedom, 8, 0.001), 4) for freedom in (6, 13, 26)]
    [0.0279, 0.0197, 0.0174]
    """
    noise = deviation * sqrt(1 + 1 / (readings - 1))
    beyond = expanded * sqrt(1 + 1 / (readings - 1)) + ONE_SIDED * noise
    return max(_findable(freedom, readings) * noise, beyond)


@lru_cache(maxsize=200)
def _findable(freedom: float, readings: int) -> float:
    """The same in standard deviations of a reading from the mean of the others."""
    limit = t_quantile(1 - FALSE_ALARMS / (2 * readings), freedom)
    shares = list(_chi_shares(freedom))

    def power(error: float) -> float:
        return sum(share * (1 + erf((error - limit * x) / sqrt(2))) / 2 for x, share in shares)

    most = limit
    while power(most) < FOUND:
        most *= 2
    return find_root(lambda error: power(error) - FOUND, (0.0, -FOUND), (most, power(most) - FOUND), 1e-3)


def _chi_shares(freedom: float) -> Iterator[tuple[float, float]]:
    """Estimated over true standard deviations, each with its share of all engines: Simpson's rule."""
    half = freedom / 2
    step = (1 + _WIDEST / sqrt(freedom)) / _STEPS
    for i in range(1, _STEPS + 1):
        x, weight = i * step, 1 if i == _STEPS else 4 if i % 2 else 2
        yield x, 2 * exp(half * log(half) - lgamma(half) + (freedom - 1) * log(x) - half * x * x) * weight * step / 3
