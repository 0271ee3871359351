"""Cylinders beside each other and beside the old length: spread, odd ones, banks, what was predicted; once more.

What a valve asks for comes from the zero lash read; under a nut from the mark, which others work out: it is given.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from math import hypot, pi, sqrt
from statistics import median

from rod_conventions import as_measured
from rules_again import VALVES, Judged, exactly, magnitude
from settings_again import asked
from uncertainties import UFloat
from written_amounts import INCH
from zero_again import Bench, Key, Untold


def banks(bench: Bench) -> list[list[int]]:
    block = bench.data["block"]
    return list(block["banks"].values()) if "banks" in block else [[*range(1, block["cylinders"] + 1)]]


def lengths(bench: Bench, valve: str, given: Mapping[Key, UFloat]) -> dict[int, UFloat]:
    """What each measured valve of a type asks for, by cylinder."""
    if bench.nut:
        return {cylinder: length for (cylinder, own), length in given.items() if own == valve}
    return {cylinder: asked(bench, (cylinder, own)) for cylinder, own in bench.trials if own == valve}


def spread(bench: Bench, valve: str, given: Mapping[Key, UFloat]) -> Iterator[Judged]:
    """Longest less shortest, by a limit to measure again and one to order singly."""
    own = sorted(lengths(bench, valve, given).values(), key=lambda length: length.nominal_value)
    if len(own) > 1:
        low, high = own[0], own[-1]
        yield Judged("length-spread", valve, high - low, most=0.100 * INCH)
        yield Judged("length-spread-narrow", valve, high - low, most=0.030 * INCH)


def bank_step(bench: Bench, valve: str, given: Mapping[Key, UFloat]) -> UFloat | None:
    """Between the means of two banks; nothing where there are not two, or one is not measured."""
    own = lengths(bench, valve, given)
    sides = [[own[cylinder] for cylinder in bank if cylinder in own] for bank in banks(bench)]
    if len(sides) < 2 or not all(sides):
        return None
    return magnitude(sum(sides[0]) / len(sides[0]) - sum(sides[1]) / len(sides[1]))


def odd(bench: Bench, valve: str, given: Mapping[Key, UFloat]) -> Iterator[Judged]:
    """Modified z over 3.5, and off the median by more than its doubt: NIST/SEMATECH e-Handbook 1.3.5.17.

    Each off its own bank's median where the banks differ and have 3 or more; the median is itself as uncertain as one
    reading times the root of pi/2n. Without a scatter to go by the doubt alone decides; without that either, nothing.
    """
    own = lengths(bench, valve, given)
    groups = _groups(bench, own) if own else []
    off: dict[int, float] = {}
    for group in groups:
        middle = median(own[cylinder].nominal_value for cylinder in group)
        off |= {cylinder: own[cylinder].nominal_value - middle for cylinder in group}
    scatter = median(map(abs, off.values())) if off else 0.0
    if len(own) < 5 or (scatter < 1e-9 and not all(length.std_dev for length in own.values())):
        return
    for group in groups:
        for cylinder in group:
            far = abs(off[cylinder]) > 2 * own[cylinder].std_dev * sqrt(1 + pi / 2 / len(group))
            odd_one = far and (scatter < 1e-9 or 0.6745 * abs(off[cylinder]) > 3.5 * scatter)
            yield Judged("length-outlier", valve, exactly(float(odd_one)), most=0.0, cylinder=cylinder)


def _groups(bench: Bench, own: dict[int, UFloat]) -> list[list[int]]:
    sides = [[cylinder for cylinder in bank if cylinder in own] for bank in banks(bench)]
    if len(sides) > 1 and min(map(len, sides)) >= 3:
        middles = [median(own[cylinder].nominal_value for cylinder in side) for side in sides]
        if max(middles) - min(middles) > max(2 * length.std_dev for length in own.values()):
            return sides
    return [[*own]]


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
        found += factors[change] * by
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
            yield Judged("bank-step", valve, step, most=0.020 * INCH)


def _agrees(bench: Bench, key: Key, given: Mapping[Key, UFloat]) -> Judged | tuple[str, Key]:
    try:
        return Judged("predicted-agrees", key[1], misfit(bench, key, given), most=0.0, cylinder=key[0])
    except Untold:
        return "predicted-agrees", key
