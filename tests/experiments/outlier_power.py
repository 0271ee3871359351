"""How often a good set of lengths has an outlier, and how often an error of 0.020 in is found.

    python tests/experiments/outlier_power.py [SETS]

Readings of a type scatter by 0.003 in. 'alone': one valve type; 'both': the other type is read on as many valves; 'a
shop': one type, with a shop's spread of 20 degrees of freedom. 'half as much again': the type scatters by 0.0045 in and
the other by 0.003 in.
"""

from __future__ import annotations

import random
import sys

from buildcheck.formulas.outlier import outliers
from buildcheck.formulas.repeatability import Sample

SCATTER, ERROR, SURE = 0.003, 0.020, 1e-6
COUNTS = (4, 5, 6, 7, 8, 10, 12, 16)
SHOP = (SCATTER, 20.0)


def share(
    count: int, sets: int, error: float = 0.0, types: int = 1, known: Sample = (0.0, 0.0), wider: float = 1.0
) -> float:
    """Share of drawn sets in which the first reading, off by an error, or any good one of the first type is found."""
    draw, found = random.Random(f"{count} {error} {types} {known} {wider}"), 0
    valves = ["intake"] * count + ["exhaust"] * count * (types - 1)
    for _ in range(sets):
        readings = [draw.gauss(9.4, SCATTER * (wider if valve == "intake" else 1.0)) for valve in valves]
        readings[0] += error
        indices = outliers(readings, [SURE] * len(valves), valves, known=_drawn(known, draw)).indices
        found += 0 in indices if error else any(index < count for index in indices)
    return found / sets


def _drawn(known: Sample, draw: random.Random) -> Sample:
    """A shop's estimate of its scatter."""
    deviation, freedom = known
    squares = sum(draw.gauss(0, 1) ** 2 for _ in range(int(freedom)))
    return (deviation * (squares / freedom) ** 0.5 if freedom else 0.0), freedom


def main(sets: int) -> None:
    """Prints a row for each number of valves."""
    print("| Valves of a type | Good sets with an outlier: alone, both, a shop; half as much again |", end="")
    print(" 0.020 in found: alone, both, a shop |")
    print("|---|---|---|")
    for count in COUNTS:
        good = [share(count, sets), share(count, sets, types=2), share(count, sets, known=SHOP)]
        wider = share(count, sets, types=2, wider=1.5)
        bad = [share(count, sets, ERROR), share(count, sets, ERROR, 2), share(count, sets, ERROR, known=SHOP)]
        first, second = (", ".join(f"{one:.1%}" for one in row) for row in (good, bad))
        print(f"| {count} | {first}; {wider:.1%} | {second} |", flush=True)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 2000)
