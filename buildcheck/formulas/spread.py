"""How readings of one valve type lie about each other: spread and bank step.

All values of a call are in one unit, and so are the results. ``banks`` names each reading's bank, in the same order.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from math import erf, sqrt
from typing import TypeVar

from buildcheck.formulas.sample import mean_of

T = TypeVar("T")

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
    for bank in banks:
        mean = mean_of(bank)
        squares += sum((value - mean) ** 2 for value in bank)
    freedom = sum(len(bank) - 1 for bank in banks)
    return (sqrt(squares / freedom), freedom) if freedom else (0.0, 0)
