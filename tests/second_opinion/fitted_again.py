"""What was delivered and fitted, springs, clearances and the cam card, worked out again from the files."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from typing import Any

from allowed_lengths import Engine
from readings_again import Untold, gap_of
from rod_conventions import balls, measured_convention, stands_off
from rules_again import VALVES, Judged, exactly, magnitude, measured
from uncertainties import UFloat, ufloat
from written_amounts import INCH, one, pitch


def parts(engine: Engine) -> Iterator[Judged | Untold]:
    yield from springs(engine)
    yield from bolts(engine)
    yield from contacts(engine)
    yield from as_built(engine)
    yield from delivered(engine)


def springs(engine: Engine) -> Iterator[Judged]:
    """The rate written against the rise of force between two heights, as a share of the latter."""
    for valve in VALVES:
        spring = engine.data["heads"]["springs"][valve]
        if "other_load" not in spring:
            continue
        seat, height, rate = (measured(spring[key]) for key in ("seat_force", "installed_height", "rate"))
        found = (measured(spring["other_load"]["force"]) - seat) / (height - measured(spring["other_load"]["height"]))
        yield Judged("spring-rate-agrees", valve, magnitude(rate / found - 1), most=0.10)


def bolts(engine: Engine) -> Iterator[Judged | Untold]:
    """What the turns of a pedestal's bolt take of the plunger, in the range of the lifter's maker."""
    rockers, lifter = engine.data["rockers"], engine.data["cam"]["lifter"]
    if "bolt_turns" not in rockers or "preload" not in lifter:
        return
    thread = rockers.get("bolt_thread" if rockers["adjuster"] == "screw" else "adjuster_thread")
    low, high = (measured(lifter["preload"][side]) for side in ("at_least", "at_most"))
    for valve in VALVES:
        if thread is None:
            yield Untold("bolt-preload", valve, None)
            continue
        result = ufloat(float(rockers["bolt_turns"]), 1 / 16) * pitch(thread) * engine.per_height(valve)
        yield Judged("bolt-preload", valve, result, low, high)


def contacts(engine: Engine) -> Iterator[Judged | Untold]:
    """Rockers on their retainers, and pistons to valves, of each cylinder."""
    for cylinder in engine.data["block"]["firing_order"]:
        for place, valve in enumerate(VALVES):
            where = {"valve": valve, "cylinder": cylinder}
            gap, piston = (
                gap_of(engine, (cylinder, valve), name) for name in ("rocker_to_retainer", "piston_to_valve")
            )
            assert piston is not None
            least = (0.080, 0.100)[place] * INCH
            yield Judged("piston-to-valve", value=piston, least=least, at_zero=True, **where)
            touches = None if gap is None else float(gap.nominal_value <= 0)
            yield (
                Untold("mark-trusted", **where)
                if touches is None
                else Judged("mark-trusted", value=exactly(touches), most=0.0, **where)
            )


def as_built(engine: Engine) -> Iterator[Judged | Untold]:
    """Torque against its maker's range, and thread that holds in diameters: one and a half unless the head is of iron.

    A screw in the rocker's end holds nothing down: there the thread is that of the bolts.
    """
    rockers, head = engine.data["rockers"], engine.data["heads"]["material"]
    for entry in engine.data["as_built"]["each"]:
        where = {"valve": entry["valve"], "cylinder": entry["cylinder"]}
        if "torque" in rockers:
            low, high = (measured(rockers["torque"][side]) for side in ("at_least", "at_most"))
            yield Judged("rocker-torque", value=measured(entry["rocker_torque"]), least=low, most=high, **where)
        thread = rockers.get("bolt_thread" if rockers["adjuster"] == "screw" else "adjuster_thread")
        if thread is None:
            yield Untold("thread-engagement", **where)
            continue
        held = measured(entry["engagement"]) / diameter(thread)
        holds = rockers["mount"] == "stud" or head in ("grey cast iron", "ductile iron", "steel")
        yield Judged("thread-engagement", value=held, least=1.0 if holds else 1.5, **where)


def diameter(thread: str) -> float:
    """Metres over the crests of ``3/8-24`` or ``M8x1.25``."""
    metric = re.match(r"M(\d+)x", thread)
    return float(metric[1]) * 0.001 if metric else one(thread.split("-")[0]) * INCH


def delivered(engine: Engine) -> Iterator[Judged | Untold]:
    """The worst run-out, the pushrod farthest from any length chosen, and how many pushrods each length is short of."""
    boxes, rods = engine.data["as_built"]["delivered"], engine.data["pushrods"]
    bent = [measured(box["run_out"]) for box in boxes if "run_out" in box]
    yield (
        Judged("delivered-run-out", "", max(bent, key=_nominal), most=0.008 * INCH)
        if len(bent) == len(boxes)
        else Untold("delivered-run-out", "", None)
    )
    chosen = Counter(_full_ball(rods["chosen"][valve], rods["chosen"], rods) for valve in VALVES)
    came = [(length_of(box, rods), box["count"]) for box in boxes]
    off = [min((magnitude(length - each) for each in chosen), key=_nominal) for length, _ in came]
    tolerance = one(rods["length_tolerance"]) if "length_tolerance" in rods else 0.002 * INCH
    yield Judged("delivered-as-ordered", "", max(off, key=_nominal), most=tolerance)
    have = Counter[float]()
    for length, count in came:
        nearest = min(chosen, key=lambda each: abs(each - length.nominal_value))
        if abs(nearest - length.nominal_value) <= tolerance + 2 * length.std_dev + 1e-12:
            have[nearest] += count
    cylinders = engine.data["block"]["cylinders"]
    short = sum(max(types * cylinders - have[length], 0) for length, types in chosen.items())
    yield Judged("delivered-enough", "", exactly(float(short)), most=0.0)


def _nominal(found: UFloat) -> float:
    return float(found.nominal_value)


def length_of(box: dict[str, Any], rods: dict[str, Any]) -> UFloat:
    """A delivered pushrod's length over full balls, whatever convention it was measured in."""
    return measured(box["length"]) + stands_off(balls(rods["ends"]), box)


def _full_ball(length: str, stated: dict[str, Any], rods: dict[str, Any]) -> float:
    assert measured_convention(rods)["stated_as"] == stated["stated_as"]
    return one(length) + stands_off(balls(rods["ends"]), stated)
