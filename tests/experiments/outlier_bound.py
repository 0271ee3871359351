"""How often any search for outliers can find an error of 0.020 in, if the scatter of good lengths is not known.

    python tests/experiments/outlier_bound.py [SETS]

A search that finds an outlier in at most 2 % of good sets, whatever their scatter, does so for good sets of one scatter
too. Against these the likelihood ratio is the most powerful test (Neyman and Pearson, from memory), so its share found
is an upper bound, even though it may know the error, the scatter of the bad set and that one reading is wrong. The
bound of one number of valves is the least over several scatters of the good sets.
"""

from __future__ import annotations

import sys

import numpy as np
from numpy.typing import NDArray

SCATTER, ERROR, FALSE_ALARMS = 0.003, 0.020, 0.02
SCATTERS = (0.003, 0.004, 0.005, 0.006, 0.007, 0.008, 0.009, 0.010, 0.012)
COUNTS = (4, 5, 6, 7, 8, 10, 12, 16)

Lengths = NDArray[np.float64]
"""One row a drawn set, one column a reading, in inches from the length that all good ones share."""


def most_found(count: int, types: int, sets: int, scatters: tuple[float, ...] = SCATTERS) -> float:
    """Upper bound of the share of bad sets in which an error of 0.020 in is found; that many valves of each type."""
    draw = np.random.default_rng([count, types])
    bad = draw.normal(0, SCATTER, (types, sets, count))
    bad[0, :, 0] += ERROR
    shares = []
    for scatter in scatters:
        good = draw.normal(0, scatter, (types, sets, count))
        limit = np.quantile(_log_ratio(good, scatter), 1 - FALSE_ALARMS)
        shares.append(float(np.mean(_log_ratio(bad, scatter) > limit)))
    return min(shares)


def _log_ratio(sets: Lengths, scatter: float) -> Lengths:
    """Logarithm of the likelihood with one reading of the first type off, either way, over that without.

    Each type has a mean of its own that nobody knows: only deviations from it count.
    """
    away = sets - sets.mean(axis=-1, keepdims=True)
    squares = (away**2).sum(axis=(0, 2))
    freedom = sets.shape[0] * (sets.shape[2] - 1)
    off = 2 * ERROR * np.concatenate([away[0], -away[0]], axis=1) - ERROR**2 * (1 - 1 / sets.shape[2])
    of_one = np.log(np.exp(off / (2 * SCATTER**2)).mean(axis=1))
    ratio: Lengths = freedom * np.log(scatter / SCATTER) - squares / 2 * (SCATTER**-2 - scatter**-2) + of_one
    return ratio


def main(sets: int) -> None:
    """Prints a row for each number of valves."""
    print("| Valves of a type | 0.020 in found at most: alone, both |")
    print("|---|---|")
    for count in COUNTS:
        print(f"| {count} | {most_found(count, 1, sets):.1%}, {most_found(count, 2, sets):.1%} |", flush=True)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 100_000)
