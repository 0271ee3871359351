"""What one valve requires and which lengths it allows, from the files alone: the arithmetic of the trade once more."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import cos, radians, sqrt, tan
from statistics import mean, stdev
from typing import Any

import pivot_height
from pivot_height import Rocker, Shown
from rod_conventions import balls, measured_convention, stands_off
from written_amounts import INCH, Amount, gauge, of_type, one, pitch, quantity

Span = tuple[float, float]


@dataclass(frozen=True)
class Allowed:
    """The length that a valve requires, in the build's own convention, and the spans that it allows (m)."""

    asked: float
    spans: list[Span]


@dataclass(frozen=True)
class Engine:
    """One build's files."""

    data: dict[str, Any]

    @property
    def nut(self) -> bool:
        return bool(self.data["rockers"]["adjuster"] == "nut")

    @property
    def lean(self) -> float:
        """How far the pivot comes nearer to the valve for each unit that it rises."""
        return tan(radians(one(self.data["rockers"].get("stud_lean", "0 deg"))))

    def ratio(self, valve: str) -> float:
        return float(of_type(self.data["rockers"]["ratio"], valve))

    def per_height(self, valve: str) -> float:
        lean = radians(one(self.data["rockers"].get("stud_lean", "0 deg")))
        leaned = radians(one(self.data["pushrods"]["inclination"])) - lean
        return cos(leaned) / cos(lean) + 1 / self.ratio(valve)

    def rocker(self, valve: str) -> Rocker:
        rockers, marks, head = self.data["rockers"], self.data["marks"], self.data["heads"]["valves"][valve]
        lift = one(self.data["cam"][valve]["lobe_lift"]) * self.ratio(valve)
        tip = head["lash_cap"]["diameter"] if "lash_cap" in head else head["tip_diameter"]
        return Rocker(
            one(rockers["valve_arm"]), lift, quantity(marks.get("contact_band", "0 in")).si, quantity(tip).si,
            self.per_height(valve), self.lean, rockers["tip"]["type"] == "roller",
        )  # fmt: skip

    def added(self, valve: str) -> float:
        """What the pushrod has beyond zero lash: the lifter's preload, or less the lash."""
        if "lash" in self.data["cam"][valve]:
            return -one(self.data["cam"][valve]["lash"]) / self.ratio(valve)
        rockers, preload = self.data["rockers"], self.data["cam"]["lifter"]["preload"]
        if self.nut and "adjuster_turns" in rockers:
            upright = cos(radians(one(rockers.get("stud_lean", "0 deg"))))
            turn = pitch(rockers["adjuster_thread"]) * upright * self.per_height(valve)
            return float(rockers["adjuster_turns"]) * turn
        return one(preload["aim"]) if "aim" in preload else (one(preload["at_least"]) + one(preload["at_most"])) / 2


def read(engine: Engine, trial: dict[str, Any]) -> Amount:
    """A trial's length as the build measures its pushrods, on the lifter to be run."""
    rods, marks, lifter = engine.data["pushrods"], engine.data["marks"], engine.data["cam"]["lifter"]
    checker = rods.get("checker", {})
    if "length" in trial:
        result = Amount(one(trial["length"]), gauge(marks["length_gauge"]))
    else:
        zero = quantity(checker["length_at_zero_turns"])
        result = Amount(zero.si + float(trial["turns"]) * pitch(checker["thread"]), zero.u)
    own, over = (balls(ends) for ends in (rods["ends"], checker.get("ends", rods["ends"])))
    moved = stands_off(over, measured_convention(rods)) - stands_off(own, measured_convention(rods))
    if "lifter_cup_height" in marks:
        moved += one(marks["lifter_cup_height"]) - one(lifter["cup_height"])
    return Amount(result.si + moved, result.u)


def allowed(engine: Engine, entry: dict[str, Any]) -> Allowed:
    """One measured valve."""
    return under_a_nut(engine, entry) if engine.nut else under_a_fixed_pivot(engine, entry)


def quoted(engine: Engine, trials: Sequence[dict[str, Any]]) -> list[Shown]:
    lengths = [read(engine, one) for one in trials]
    pairs = [
        [tuple(map(one, pair)) if all(pair) else None for pair in (_edges(trial), _lines(trial))] for trial in trials
    ]
    return [Shown(length.si - lengths[-1].si, length.u, *pair) for length, pair in zip(lengths, pairs, strict=True)]


def _edges(trial: dict[str, Any]) -> tuple[str, ...]:
    return tuple(trial.get("mark", {"from": "", "to": ""})[key] for key in ("from", "to"))


def _lines(trial: dict[str, Any]) -> tuple[str, ...]:
    return tuple(trial.get(key, "") for key in ("shut_at", "open_at"))


def under_a_nut(engine: Engine, entry: dict[str, Any]) -> Allowed:
    """The length sets the pivot's height, so the mark decides: around each height that the marks may mean."""
    rocker, trials = engine.rocker(entry["valve"]), quoted(engine, entry["trials"])
    start = read(engine, entry["trials"][-1]).si + engine.added(entry["valve"])
    spans, asked = [], []
    result = trials if rocker.roller else trials[-1:]
    for height in pivot_height.heights(rocker, result, gauge(engine.data["marks"]["mark_gauge"])):
        rise = height - rocker.lift / 2
        if not rocker.roller:
            rise = pivot_height.raise_for_the_middle(rocker, trials[-1], height)
        asked.append(start + rise * rocker.per_height)
        low, high = (_as_far_as(rocker, trials[-1], height, rise, side) for side in (-1, 1))
        spans.append((start + low * rocker.per_height, start + high * rocker.per_height))
    common = max(low for low, _ in spans), min(high for _, high in spans)
    return Allowed(mean(asked), [common] if common[0] <= common[1] else spans)


def _as_far_as(rocker: Rocker, last: Shown, height: float, rise: float, side: int) -> float:
    """How far a pivot may be raised before a rule of the mark is broken, towards one side of where it belongs."""
    farthest = 0.050 * INCH if rocker.roller else 0.8 * rocker.lift

    def keeps(raised: float) -> bool:
        low, high = pivot_height.edges_after(rocker, last, height, raised)
        margin = min(low, rocker.tip - high)
        least = 0.030 * INCH if rocker.roller else 0.0
        return margin >= least and abs((low + high) / 2 - rocker.tip / 2) <= rocker.tip / 6

    return rise + side * _last_kept(lambda away: keeps(rise + side * away), farthest)


def _last_kept(keeps: Callable[[float], bool], farthest: float) -> float:
    if keeps(farthest):
        return farthest
    kept, broken = 0.0, farthest
    for _ in range(50):
        middle = (kept + broken) / 2
        kept, broken = (middle, broken) if keeps(middle) else (kept, middle)
    return kept


def under_a_fixed_pivot(engine: Engine, entry: dict[str, Any]) -> Allowed:
    """The length sets preload or lash alone; trials over the shim of the last are repeats."""
    valve, rockers, cam = entry["valve"], engine.data["rockers"], engine.data["cam"]
    shims = [one(trial.get("shim", rockers.get("shim", "0 in"))) for trial in entry["trials"]]
    repeats = [
        read(engine, trial) for trial, shim in zip(entry["trials"], shims, strict=True) if abs(shim - shims[-1]) < 1e-9
    ]
    run = mean(each.si for each in repeats)
    expanded = 2 * _doubt(engine, repeats)
    if rockers["adjuster"] == "screw":
        asked = run + engine.added(valve) + one(rockers.get("screw_at", "0 in"))
        room = one(rockers["adjuster_range"]) - expanded
        return Allowed(asked, [(asked - room, asked + room)])
    if "lash" in cam[valve]:
        asked = run + engine.added(valve)
        room = one(cam.get("lash_tolerance", "0.002 in")) / engine.ratio(valve) - expanded
        return Allowed(asked, [(asked - room, asked + room)])
    least, most = (one(cam["lifter"]["preload"][side]) for side in ("at_least", "at_most"))
    return Allowed(run + engine.added(valve), [(run + least + expanded, run + most - expanded)])


def _doubt(engine: Engine, repeats: Sequence[Amount]) -> float:
    marks, rods = engine.data["marks"], engine.data["pushrods"]
    parts = [repeats[-1].u, one(marks.get("zero_lash_repeatability", "0 in")) / 2 / sqrt(len(repeats))]
    parts.append(one(rods.get("length_tolerance", "0 in")) / 2)
    if len(repeats) > 1:
        parts.append(stdev(each.si for each in repeats) / sqrt(len(repeats)))
    return sqrt(sum(part**2 for part in parts))
