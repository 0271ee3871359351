"""How well readings repeat: the uncertainty of a mean of repeats, and whether a day's repeats scatter more than usual.

A sample is a standard deviation with its degrees of freedom; all deviations of a call are in one unit.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import sqrt

from buildcheck.formulas.distributions import f_probability, t_quantile

Sample = tuple[float, float]

WORSE_DAY = 0.01
"""Chance of a false alarm of the test for a worse day."""


def repeat_uncertainty(deviation: float, freedom: float, readings: int = 1) -> float:
    """Expanded uncertainty (95 %) of a mean of so many readings, from how well readings repeat; the gauge's bias apart.

    Args: deviation: standard deviation of one reading; freedom: its degrees of freedom (1); readings: at least 1.
    Returns: t times s over the root of n, in the unit of the deviation. Source: NIST/SEMATECH e-Handbook 1.3.6.7.2.

    >>> round(repeat_uncertainty(0.002, 30), 6), round(repeat_uncertainty(0.002, 2, 4), 6)
    (0.004085, 0.004303)
    """
    if readings < 1:
        raise ValueError("a mean needs readings")
    return t_quantile(0.975, freedom) * deviation / sqrt(readings)


def scatter_chance(today: Sequence[Sample], usual: Sequence[Sample]) -> float:
    """Chance that values which scatter as usual scatter as much as today's, or more: a one-sided F test of all.

    Args: today: a sample for each gauge and reader; usual: the shop's for the same, in the same order, none of them
    zero. Each is held against its own usual deviation; several have the fewest degrees of freedom of any usual one,
    which is on the safe side (exact for one). Source: NIST/SEMATECH e-Handbook 1.3.5.9 (from memory).

    >>> round(scatter_chance([(0.002, 5.0)], [(0.001, 20.0)]), 4)
    0.0112
    """
    total = sum(freedom for _, freedom in today)
    pairs = list(zip(today, usual, strict=True))
    ratio = sum(degrees * (s / shop) ** 2 for (s, degrees), (shop, _) in pairs) / total
    return 1 - f_probability(ratio, total, min(freedom for _, freedom in usual))
