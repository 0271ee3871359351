"""Mean, median and standard deviation of readings, in their unit.

Written out here because importing ``statistics``, which brings random numbers, takes as long as judging some rules.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import fsum, isqrt

_BITS = 80


def mean_of(values: Sequence[float]) -> float:
    """The mean of at least one reading.

    >>> mean_of([2.0, 5.0, 3.5])
    3.5
    """
    return fsum(values) / len(values)


def median_of(values: Iterable[float]) -> float:
    """The middle one of at least one reading; of an even number the mean of the middle two.

    >>> median_of([5.0, 2.0, 3.0]), median_of([5.0, 2.0, 3.0, 4.0])
    (3.0, 3.5)
    """
    ranked = sorted(values)
    low, high = ranked[(len(ranked) - 1) // 2], ranked[len(ranked) // 2]
    return (low + high) / 2


def deviation_of(values: Sequence[float]) -> float:
    """The standard deviation of a sample of at least two readings, correctly rounded: readings alike have none.

    Source: JCGM 100:2008, 4.2.2: the root of the squares about the mean over n - 1; summed in whole numbers.

    >>> deviation_of([2.0, 4.0, 6.0]), deviation_of([0.1, 0.1, 0.1])
    (2.0, 0.0)
    """
    scale, count = max(value.as_integer_ratio()[1] for value in values), len(values)
    whole = [int(value * scale) for value in values]
    squares, share = count * sum(each * each for each in whole) - sum(whole) ** 2, count * (count - 1)
    shift = max(_BITS - squares.bit_length() // 2, 0)  # so many bits more than a float holds decide its last one
    root = isqrt((squares << 2 * shift) // share)
    return root / (scale << shift)
