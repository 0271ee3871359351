"""How readings of one valve type lie about each other: spread, bank step and the one that does not belong.

All values of a call are in one unit, and so are the results. ``banks`` names each reading's bank, in the same order.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from math import erf, inf, sqrt
from typing import TypeVar

from buildcheck.formulas.distributions import t_probability
from buildcheck.formulas.sample import mean_of
from buildcheck.record import Record

T = TypeVar("T")

FEWEST_READINGS = 4
FEWEST_IN_A_BANK = 3
SUSPECTS = 4
"""One reading in so many may be an outlier; more of them are a broad spread."""
FALSE_ALARMS = 0.01
"""Share of good sets in which one test may find an outlier. With up to four tests in a row it stays below 2 %."""
_REACH, _STEPS = 8.0, 1600


def spread_range(values: Sequence[float]) -> float:
    """Largest reading less the smallest.

    >>> spread_range([2.0, 5.0, 3.0])
    3.0
    """
    if not values:
        raise ValueError("a spread needs readings")
    return max(values) - min(values)


@cache
def expected_range(count: int) -> float:
    """Expected range (1) of so many normal values with a standard deviation of 1.

    Args: count: at least 2 values. Source: textbook integral of 1 - F^n - (1 - F)^n (from memory), by Simpson's rule.

    >>> [round(expected_range(count), 3) for count in (2, 4, 8)]
    [1.128, 2.059, 2.847]
    """
    step = 2 * _REACH / _STEPS
    total = 0.0
    for i in range(_STEPS + 1):
        below = (1 + erf((i * step - _REACH) / sqrt(2))) / 2
        weight = 1 if i in (0, _STEPS) else 4 if i % 2 else 2
        total += weight * (1 - below**count - (1 - below) ** count)
    return total * step / 3


def deviation_uncertainty(deviation: float, freedom: float) -> float:
    """Standard uncertainty of a standard deviation, in its unit, from its degrees of freedom (1), at least 1.

    Source: JCGM 100:2008, E.4.3: 1/sqrt(2 nu) of it.

    >>> round(deviation_uncertainty(0.004, 8), 6)
    0.001
    """
    if freedom < 1:
        raise ValueError("a spread needs at least one degree of freedom")
    return deviation / sqrt(2 * freedom)


def by_bank(values: Sequence[T], banks: Sequence[str]) -> dict[str, list[T]]:
    """Readings grouped by the banks that they were taken on.

    >>> by_bank([1.0, 2.0, 3.0], ["left", "right", "left"])
    {'left': [1.0, 3.0], 'right': [2.0]}
    """
    found: dict[str, list[T]] = {}
    for value, bank in zip(values, banks, strict=True):
        found.setdefault(bank, []).append(value)
    return found


def deviation_within_banks(banks: Sequence[Sequence[float]]) -> tuple[float, int]:
    """Standard deviation of readings about the mean of their own bank, and its degrees of freedom (1), perhaps none.

    Source: NIST/SEMATECH e-Handbook 2.4.4.

    >>> deviation_within_banks([[1.0, 3.0], [11.0, 13.0]])
    (1.4142135623730951, 2)
    """
    squares = 0.0
    for own in banks:
        mean = mean_of(own)
        squares += sum((value - mean) ** 2 for value in own)
    freedom = sum(len(own) - 1 for own in banks)
    return (sqrt(squares / freedom), freedom) if freedom else (0.0, 0)


class Outliers(Record):
    """Which readings (by index) to take again; ``judged``: whether that can be determined; ``remark``: how."""

    indices: tuple[int, ...]
    judged: bool
    remark: str


def outliers(
    values: Sequence[float],
    expanded: Sequence[float],
    banks: Sequence[str] | None = None,
    least: float = 0.0,
    known: tuple[float, float] = (0.0, 0.0),
) -> Outliers:
    """Readings that lie further from the mean of the others than chance and their expanded uncertainty explain.

    Args: values; expanded: expanded uncertainty of each; banks: each is held against its own bank's mean if every bank
    has 3 readings or more; least: smallest standard deviation that the gauge can show; known: a standard deviation
    between valves found before, and its degrees of freedom (1). Fewer than 4 readings are not judged.

    Source: generalized extreme Studentized deviate test (Rosner 1983), as in the NIST/SEMATECH e-Handbook 1.3.5.17.3
    (from memory); its first step is the Grubbs test of 1.3.5.17.1.

    >>> outliers([9.40, 9.41, 9.40, 9.42, 9.41, 9.55], [0.01] * 6).indices
    (5,)
    """
    if len(values) < FEWEST_READINGS:
        return Outliers((), False, f"{len(values)} readings: {FEWEST_READINGS} are required to find an outlier")
    groups = _groups(values, banks)
    left = dict(enumerate(zip(values, groups, strict=True)))
    freedom = len(left) - len(set(groups)) - 1 + known[1]
    taken: list[int] = []
    found = 0
    for _ in range(len(values) // SUSPECTS):
        scores = {index: _score(left, index, least, known) for index in left}
        worst = max(scores, key=lambda index: scores[index][0])
        if scores[worst][0] == inf and min(expanded) <= 0:
            return Outliers((), False, "the other readings are equal and no uncertainty is stated")
        found = len(taken) + 1 if _chance(*scores[worst], len(left)) < FALSE_ALARMS else found
        taken.append(worst)
        del left[worst]
    beyond = [i for i in taken[:found] if _is_beyond(values[i], expanded[i], _others(left, groups[i]))]
    return Outliers(tuple(sorted(beyond)), True, f"{freedom:.0f} degrees of freedom")


def _groups(values: Sequence[float], banks: Sequence[str] | None) -> Sequence[str]:
    own = by_bank(values, banks) if banks else {}
    enough = bool(own) and min(map(len, own.values())) >= FEWEST_IN_A_BANK
    return banks if banks and enough else [""] * len(values)


Readings = dict[int, tuple[float, str]]
"""Index -> a reading and the group whose mean it is held against."""


def _score(left: Readings, index: int, least: float, known: tuple[float, float]) -> tuple[float, float]:
    """Student's t of a reading against the mean of its group's others, and its degrees of freedom; zero for a lone one.

    Infinite if all other readings are equal and nothing else is known of their deviation.
    """
    value, group = left[index]
    rest = by_bank(*zip(*(one for other, one in left.items() if other != index), strict=True))
    if group not in rest:
        return 0.0, 1.0
    own, free = deviation_within_banks(list(rest.values()))
    freedom = free + known[1]
    away = abs(value - mean_of(rest[group]))
    if not freedom or away <= _noise(value):
        return 0.0, 1.0
    deviation = max(sqrt((free * own**2 + known[1] * known[0] ** 2) / freedom), least)
    return (away / (deviation * sqrt(1 + 1 / len(rest[group]))) if deviation > _noise(value) else inf), freedom


def _chance(score: float, freedom: float, readings: int) -> float:
    """Chance that any of so many good readings has such a score, or a greater one (Bonferroni)."""
    return 2 * readings * (1 - t_probability(score, freedom)) if score < inf else 0.0


def _noise(value: float) -> float:
    return 1e-9 * abs(value)


def _others(left: Readings, group: str) -> list[float]:
    return [value for value, own in left.values() if own == group]


def _is_beyond(value: float, expanded: float, others: Sequence[float]) -> bool:
    """Whether a reading lies beyond its expanded uncertainty from the mean of the others, each as uncertain."""
    return abs(value - mean_of(others)) > expanded * sqrt(1 + 1 / len(others))
