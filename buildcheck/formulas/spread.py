"""How readings of one valve type lie about each other: spread, bank step and the one that does not belong.

All values of a call are in one unit, and so are the results; scores are plain numbers. ``banks`` names each
reading's bank, in the same order.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import pi, sqrt
from statistics import median
from typing import TypeVar

T = TypeVar("T")

FEWEST_READINGS = 5
FEWEST_IN_A_BANK = 3
SCORE_LIMIT = 3.5
MEDIAN_VARIANCE = pi / 2
"""Variance of the median of n normal readings, over one reading's, times n (textbook value, from memory)."""
_NOISE = 1e-9


def spread_range(values: Sequence[float]) -> float:
    """Largest reading less the smallest.

    >>> spread_range([2.0, 5.0, 3.0])
    3.0
    """
    if not values:
        raise ValueError("a spread needs readings")
    return max(values) - min(values)


def mad(values: Sequence[float]) -> float:
    """Median of the readings' distances from their median.

    >>> mad([1.0, 2.0, 3.0, 4.0, 100.0])
    1.0
    """
    if not values:
        raise ValueError("a spread needs readings")
    middle = median(values)
    return median(abs(value - middle) for value in values)


def modified_z(values: Sequence[float]) -> list[float] | None:
    """Modified z-scores, 0.6745·(x − median)/MAD; None for fewer than 5 readings or a MAD of zero.

    Source: Iglewicz and Hoaglin 1993, as in the NIST/SEMATECH e-Handbook 1.3.5.17.

    >>> modified_z([1.0, 2.0, 3.0, 4.0, 100.0])[-1]
    65.4265
    """
    unit = mad(values)
    if len(values) < FEWEST_READINGS or unit <= _noise(values):
        return None
    middle = median(values)
    return _scores([value - middle for value in values], unit)


def _scores(away: Sequence[float], unit: float) -> list[float]:
    return [0.6745 * distance / unit for distance in away]


def _noise(values: Sequence[float]) -> float:
    return _NOISE * max(abs(value) for value in values)


def by_bank(values: Sequence[T], banks: Sequence[str]) -> dict[str, list[T]]:
    """Readings grouped by the banks that they were taken on.

    >>> by_bank([1.0, 2.0, 3.0], ["left", "right", "left"])
    {'left': [1.0, 3.0], 'right': [2.0]}
    """
    found: dict[str, list[T]] = {}
    for value, bank in zip(values, banks, strict=True):
        found.setdefault(bank, []).append(value)
    return found


@dataclass(frozen=True, slots=True)
class Outliers:
    """Which readings (by index) to take again; ``judged``: whether that can be told; ``remark``: how."""

    indices: tuple[int, ...]
    judged: bool
    remark: str


def outliers(values: Sequence[float], expanded: Sequence[float], banks: Sequence[str] | None = None) -> Outliers:
    """Readings with a score beyond 3.5 that also lie further from the median than their expanded uncertainty.

    The uncertainty is that of the distance: the median's own joins the reading's.
    Each is held against its own bank's median where the banks' medians lie further apart than the uncertainty
    and each bank has 3 readings or more. With a MAD of zero there is no score: the uncertainty alone decides,
    if any is stated. Fewer than 5 readings are not judged.

    >>> outliers([9.40, 9.41, 9.40, 9.42, 9.41, 9.55], [0.01] * 6).indices
    (5,)
    """
    if len(values) < FEWEST_READINGS:
        return Outliers((), False, f"{len(values)} readings: fewer than 5 cannot show an outlier")
    away, behind = _departures(values, expanded, banks)
    beyond = [i for i, u in enumerate(expanded) if abs(away[i]) > u * sqrt(1 + MEDIAN_VARIANCE / behind[i])]
    unit = median(abs(distance) for distance in away)
    if unit > _noise(values):
        scores = _scores(away, unit)
        return Outliers(tuple(i for i in beyond if abs(scores[i]) > SCORE_LIMIT), True, "")
    if min(expanded) <= 0:
        return Outliers((), False, "at least half of the readings are equal and have no uncertainty")
    return Outliers(tuple(beyond), True, "at least half of the readings are equal, so only the uncertainty decides")


def _departures(
    values: Sequence[float], expanded: Sequence[float], banks: Sequence[str] | None
) -> tuple[list[float], list[int]]:
    """Each reading's distance from its median, and how many readings stand behind that median."""
    own = by_bank(values, banks) if banks else {}
    middles = {bank: median(readings) for bank, readings in own.items()}
    enough = bool(own) and min(map(len, own.values())) >= FEWEST_IN_A_BANK
    if banks and enough and spread_range(list(middles.values())) > max(expanded):
        away = [value - middles[bank] for value, bank in zip(values, banks, strict=True)]
        return away, [len(own[bank]) for bank in banks]
    middle = median(values)
    return [value - middle for value in values], [len(values)] * len(values)
