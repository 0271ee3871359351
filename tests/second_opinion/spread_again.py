"""Cylinders beside each other and beside the old length: spread, odd ones, banks, what was predicted; once more.

What a valve asks for comes from the zero lash read; under a nut from the mark, which others work out: it is given.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from functools import cache
from math import hypot, sqrt

from numpy import mean, std, var
from rod_conventions import as_measured
from rules_again import VALVES, Judged, exactly
from scipy.integrate import quad
from scipy.stats import f, norm, t
from settings_again import asked
from uncertainties import UFloat, nominal_value, ufloat
from written_amounts import INCH
from zero_again import Bench, Key, Untold


def banks(bench: Bench) -> list[list[int]]:
    block = bench.data["block"]
    return list(block["banks"].values()) if "banks" in block else [[*range(1, block["cylinders"] + 1)]]


def lengths(bench: Bench, valve: str, given: Mapping[Key, UFloat]) -> dict[int, UFloat]:
    """What each measured valve of a type requires, by cylinder."""
    if bench.nut:
        return {cylinder: length for (cylinder, own), length in given.items() if own == valve}
    return {cylinder: asked(bench, (cylinder, own)) for cylinder, own in bench.trials if own == valve}


def spread(bench: Bench, valve: str, given: Mapping[Key, UFloat]) -> Iterator[Judged | tuple[str, Key | None]]:
    """Longest less shortest, to measure again; the range to expect of all valves, to order singly."""
    own = sorted(lengths(bench, valve, given).values(), key=lambda length: length.nominal_value)
    if len(own) > 1:
        yield Judged("length-spread", valve, own[-1] - own[0], most=0.100 * INCH)
    if len(own) > 2:
        deviation = max(float(std([length.nominal_value for length in own], ddof=1)), least(bench))
        valves = max(bench.data["block"]["cylinders"], len(own))
        one = ufloat(deviation, deviation / sqrt(2 * (len(own) - 1)))
        yield Judged("length-spread-narrow", valve, one * expected_range(valves), most=0.030 * INCH)
    elif len(own) == 2:
        yield "length-spread-narrow", (None, valve)


@cache
def expected_range(count: int) -> float:
    """Of so many values with a standard deviation of 1, by another integral: of their largest one, twice."""
    return 2 * float(quad(lambda x: x * count * norm.pdf(x) * norm.cdf(x) ** (count - 1), -9, 9)[0])


def least(bench: Bench) -> float:
    """The deviation of a rectangular distribution as wide as the length gauge's resolution (JCGM 100:2008, 4.3.7)."""
    gauge = bench.data["marks"].get("length_gauge", {})
    return bench.one("marks", "length_gauge", "resolution").nominal_value / sqrt(12) if "resolution" in gauge else 0.0


def bank_step(bench: Bench, valve: str, given: Mapping[Key, UFloat]) -> Judged | tuple[str, Key | None] | None:
    """Between the means of two banks, as Student's t has it; nothing if there are not two, or one is not measured."""
    own = lengths(bench, valve, given)
    sides = [[own[cylinder].nominal_value for cylinder in bank if cylinder in own] for bank in banks(bench)]
    if len(sides) < 2 or not all(sides):
        return None
    freedom = len(own) - len(sides)
    if not freedom:
        return "bank-step", (None, valve)
    within = sqrt(sum(var(side) * len(side) for side in sides) / freedom)
    scatter = max(within, least(bench)) * sqrt(1 / len(sides[0]) + 1 / len(sides[1]))
    found = ufloat(abs(mean(sides[0]) - mean(sides[1])), t.ppf(0.975, freedom) * scatter / 2)
    return Judged("bank-step", valve, found, most=0.020 * INCH)


def odd(bench: Bench, valve: str, given: Mapping[Key, UFloat]) -> Iterator[Judged]:
    """Generalized extreme Studentized deviate test by its textbook critical values, then beyond its own uncertainty.

    Both types share their scatter; each reading is off its own bank's mean if all banks have 3 or more of its type.
    Source: NIST/SEMATECH e-Handbook 1.3.5.17.3 (from memory).
    """
    own = lengths(bench, valve, given)
    if len(own) < 4:
        return
    every = {(one, each): length for each in VALVES for one, length in lengths(bench, each, given).items()}
    groups = [group for each in VALVES for group in _groups(bench, [key for key in every if key[1] == each])]
    suspects: list[Key] = []
    found = 0
    while open_to := [key for key in every if key not in suspects and _room(every, suspects, key[1])]:
        key, freedom, score = _extreme(bench, every, groups, suspects, open_to)
        left = sum(other[1] == key[1] for other in every) - sum(other[1] == key[1] for other in suspects)
        suspects.append(key)
        if score > t.ppf(1 - 0.01 / (2 * left), freedom):
            found = len(suspects)
    for cylinder in own:
        [group] = [group for group in groups if (cylinder, valve) in group]
        others = [every[other].nominal_value for other in group if other not in suspects]
        far = abs(own[cylinder].nominal_value - mean(others)) > 2 * own[cylinder].std_dev * sqrt(1 + 1 / len(others))
        out = far and (cylinder, valve) in suspects[:found]
        yield Judged("length-outlier", valve, exactly(float(out)), most=0.0, cylinder=cylinder)


def _room(every: Iterable[Key], suspects: list[Key], valve: str) -> bool:
    return sum(key[1] == valve for key in suspects) + 1 <= sum(key[1] == valve for key in every) / 4


def _groups(bench: Bench, own: list[Key]) -> list[list[Key]]:
    sides = [[key for key in own if key[0] in bank] for bank in banks(bench)]
    return sides if len(sides) > 1 and min(map(len, sides)) >= 3 else [own]


def _extreme(
    bench: Bench, every: Mapping[Key, UFloat], groups: list[list[Key]], gone: list[Key], open_to: list[Key]
) -> tuple[Key, int, float]:
    """The valve with the greatest Studentized deleted residual of those left, with its degrees of freedom."""
    left = [[key for key in group if key not in gone] for group in groups]
    off = {
        key: every[key].nominal_value - mean([every[other].nominal_value for other in group])
        for group in left
        for key in group
    }
    size = {key: len(group) for group in left for key in group}
    scores = {}
    for key in open_to:
        sums: dict[bool, tuple[float, int]] = {}
        for same in (True, False):
            part = [each for each in off if (each[1] == key[1]) == same]
            squares = sum(off[each] ** 2 for each in part) - (off[key] ** 2 / (1 - 1 / size[key]) if same else 0.0)
            free = len(part) - sum(any((each[1] == key[1]) == same for each in group) for group in left) - same
            sums[same] = (max(squares, 0.0), free)
        (mine, my_free), (theirs, their_free) = sums[True], sums[False]
        mine, theirs = max(mine, my_free * least(bench) ** 2), max(theirs, their_free * least(bench) ** 2)
        apart = (
            my_free
            and their_free
            and theirs
            and mine / my_free / (theirs / their_free) > f.ppf(0.99, my_free, their_free)
        )
        squares, free = (mine, my_free) if apart else (mine + theirs, my_free + their_free)
        deviation = sqrt(squares / free)
        scores[key] = free, abs(off[key]) / sqrt(1 - 1 / size[key]) / deviation if deviation else 0.0
    worst = max(scores, key=lambda key: scores[key][1])
    return worst, *scores[worst]


def still_to_measure(bench: Bench, valve: str) -> Judged:
    """Two cylinders, and one in each bank; one where the engine has but one."""
    done = [cylinder for cylinder, own in bench.trials if own == valve]
    without = sum(not set(bank) & set(done) for bank in banks(bench))
    missing = max(without, min(2, bench.data["block"]["cylinders"]) - len(done), 0)
    return Judged("second-cylinder-checked", valve, exactly(float(missing)), most=0.0)


def predicted(bench: Bench, valve: str) -> UFloat:
    """The old length in the build's convention, with what was cut, swapped and raised since."""
    old, rods = bench.data["stackup"]["baseline"], bench.data["pushrods"]
    found = bench.one("stackup", "baseline", valve) + as_measured(rods, old)
    per = 1 / bench.ratio(valve)
    factors = {
        "block_milled": -1.0, "head_milled": -1.0, "lifter_cup_lower": 1.0, "pedestal_raised": 1 + per,
        "tip_higher": 1.0 if bench.nut else -per, "head_height": 1.0, "gasket_thickness": 1.0,
        "base_circle_diameter": -0.5,
    }  # fmt: skip
    for change, size in bench.data["stackup"]["changes"].items():
        path = ("stackup", "changes", change)
        by = bench.one(*path) if isinstance(size, str) else bench.one(*path, "is") - bench.one(*path, "was")
        term = factors[change] * by
        found += term + ufloat(0.0, 0.025 * abs(float(nominal_value(term))))
    return found


def misfit(bench: Bench, key: Key, given: Mapping[Key, UFloat]) -> UFloat:
    """Zero lash against the length predicted, its preload taken off, beyond both doubts.

    A solid lifter's old rod had its lash, so it is held against what the valve asks for.
    """
    if bench.nut and key not in given:
        raise Untold("the length asked")
    now = given[key] if bench.nut else asked(bench, key)
    old = predicted(bench, key[1])
    if not bench.solid:
        now, old = now - bench.preload_aimed(key), old - bench.one("stackup", "baseline", "preload")
    apart = abs(now.nominal_value - old.nominal_value)
    return exactly(max(0.0, apart - hypot(2 * now.std_dev, 2 * old.std_dev)))


def judged(bench: Bench, given: Mapping[Key, UFloat]) -> Iterator[Judged | tuple[str, Key | None]]:
    for valve in VALVES:
        yield still_to_measure(bench, valve)
        if "stackup" in bench.data:
            yield from (_agrees(bench, key, given) for key in bench.trials if key[1] == valve)
        try:
            step = bank_step(bench, valve, given)
        except Untold:
            continue
        yield from spread(bench, valve, given)
        yield from odd(bench, valve, given)
        if step is not None:
            yield step


def _agrees(bench: Bench, key: Key, given: Mapping[Key, UFloat]) -> Judged | tuple[str, Key]:
    try:
        return Judged("predicted-agrees", key[1], misfit(bench, key, given), most=0.0, cylinder=key[0])
    except Untold:
        return "predicted-agrees", key
