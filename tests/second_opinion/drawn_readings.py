"""Builds whose readings are drawn by lot to end either way: marks, crank angles, trials that contradict each other.

They take their parts from ``drawn_builds``; engine, cam, marks and what was delivered are drawn anew and wider.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from random import Random
from typing import Any

import drawn_builds
import drawn_fitting
from allowed_lengths import Engine
from drawn_parts import GAUGE, about
from pivot_height import Rocker, spot, sweep
from written_amounts import INCH, files, one

ENGINES: list[tuple[str, int, list[int]]] = [
    ("inline", 4, [1, 3, 4, 2]), ("inline", 6, [1, 5, 3, 6, 2, 4]), ("inline", 1, [1]), ("inline", 3, [1, 3, 2]),
    ("vee", 8, [1, 5, 4, 8, 6, 3, 7, 2]), ("flat", 6, [1, 4, 5, 2, 3, 6]), ("vee", 2, [1, 2]), ("inline", 2, [1, 2]),
    ("vee", 12, [1, 7, 5, 11, 3, 9, 6, 12, 2, 8, 4, 10]), ("flat", 4, [1, 4, 2, 3]), ("inline", 5, [1, 2, 4, 5, 3]),
]  # fmt: skip
UNEVEN = {2: [270, 450], 6: [90, 150, 90, 150, 90, 150], 12: [49, 71] * 6}


@dataclass(frozen=True)
class Bench:
    """Whose readings are drawn: the build's own words for a length, its rocker and how well its marks are read (in)."""

    drawn: drawn_builds.Drawn
    random: Random
    rocker: Rocker
    edge: float
    band: bool

    def length(self, inches: float) -> str:
        return self.drawn.length(inches)

    def read(self, exact: float, bias: float = 0.0) -> str:
        """A line or an edge, read to half a thousandth with an error of the gauge's, and never beside the tip."""
        quoted = round((exact + self.random.gauss(0, self.edge / 2) + bias) / 0.0005) * 0.0005
        return self.length(min(max(quoted, 0.0), self.rocker.tip))


def lay_out(folder: Path, number: int) -> Path:
    """One build, on disk."""
    drawn, random = drawn_builds.Drawn(number, Random(number)), Random(1000 + number)
    drawn_builds.lay_out(folder, number)
    text = files(folder)
    changed = {"build": text["build"] | {"stage": "assembled"}, "block": _block(random, number)}
    changed["cam"] = _cam(random, text["cam"], half_a_card(number))
    if not drawn.solid and random.random() < 0.3:
        text["rockers"].pop("adjuster_turns", None)
    changed["heads"] = drawn_fitting.heads(random, text["heads"])
    text |= changed
    changed["marks"] = _marks(drawn, random, text)
    changed["clearances"] = _clearances(drawn, random, text["clearances"])
    changed |= drawn_fitting.fitted(drawn, random, text)
    for name, entry in changed.items():
        (folder / f"{name}.yaml").write_text(json.dumps(entry), encoding="utf-8")
    return folder


def _block(random: Random, number: int) -> dict[str, Any]:
    layout, cylinders, order = ENGINES[number % len(ENGINES)]
    block: dict[str, Any] = {"layout": layout, "cylinders": cylinders, "firing_order": order}
    if layout != "inline":
        half = cylinders // 2
        block["banks"] = {"left": list(range(1, half + 1)), "right": list(range(half + 1, cylinders + 1))}
    if cylinders in UNEVEN and random.random() < 0.6:
        block["firing_intervals"] = [f"{gap} deg" for gap in UNEVEN[cylinders]]
    return block


def half_a_card(number: int) -> bool:
    """Whether a build's durations were written in degrees of cam."""
    return number % 9 == 4


def _cam(random: Random, cam: Mapping[str, Any], half: bool) -> dict[str, Any]:
    """Seat to seat durations from a tractor's to a racer's, or half of them."""
    own = dict(cam) | {"duration_at": random.choice(["0.006 in", "0.010 in", "0.15 mm"])}
    if random.random() < 0.5:
        own["advance"] = f"{random.choice([-4, -2, 2, 4])} deg"
    for valve in ("intake", "exhaust"):
        duration, centreline = random.randint(230, 320), random.randint(100, 118)
        if half:
            duration = random.randint(125, 155)
        own[valve] = cam[valve] | {"duration": f"{duration} deg", "centreline": f"{centreline} deg"}
    return own


def _marks(drawn: drawn_builds.Drawn, random: Random, text: Mapping[str, Any]) -> dict[str, Any]:
    metres = Engine(dict(text)).rocker("intake")
    edge, band = random.choice([0.001, 0.002, 0.004]), random.random() < 0.8
    inches = (one / INCH for one in (metres.arm, metres.lift, metres.band, metres.tip))
    rocker = Rocker(*inches, metres.per_height, metres.lean, metres.roller)
    bench = Bench(drawn, random, rocker, edge, band)
    gauge = {"name": "loupe", "resolution": bench.length(0.0005), "uncertainty": bench.length(edge)}
    marks = dict(text["marks"]) | {"mark_gauge": gauge}
    marks.pop("turns_of_crank")
    if random.random() < 0.8:
        marks["turns_of_crank"] = random.choice([1, 1.5, 2, 2, 2, 3])
    if not band:
        marks.pop("contact_band")
    elif rocker.band and random.random() < 0.3:
        marks["contact_band"] += f" +/- {bench.length(edge)}"
    if random.random() < 0.1:
        marks["lifter"] = "hydraulic"
    valves = [(cylinder, valve) for cylinder in text["block"]["firing_order"] for valve in ("intake", "exhaust")]
    chosen = [valves[0], valves[1], *(one for one in valves[2:] if random.random() < 0.6)]
    marks["valves"] = [_valve(bench, text, key) for key in chosen[:8]]
    return marks


def _valve(bench: Bench, text: Mapping[str, Any], key: tuple[int, str]) -> dict[str, Any]:
    entry: dict[str, Any] = {"cylinder": key[0], "valve": key[1]}
    if bench.random.random() < 0.85:
        entry["crank"] = drawn_fitting.crank(bench.random, text, key)
    return entry | {"trials": list(_trials(bench, text))}


def _trials(bench: Bench, text: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Up to three trials; under a nut each at its own length, else at the shim or, seldom, before it."""
    random, rocker, free = bench.random, bench.rocker, text["rockers"]["adjuster"] == "nut"
    off = random.choice([random.uniform(-0.03, 0.03), random.uniform(-0.08, 0.08), random.uniform(-0.15, 0.15)])
    best = rocker.lift * (1.8 if not rocker.roller else 0.5)
    near, far = sweep(rocker, best + off)
    aside = rocker.tip / 2 - (near + far) / 2
    aside += random.uniform(-0.02, 0.02) if not rocker.roller else random.uniform(-0.075, 0.075)
    steps = [random.uniform(-0.06, 0.06) for _ in range(random.randrange(3))]
    shim = float(text["rockers"].get("shim", "0 in").split()[0]) / (25.4 if bench.drawn.unit == "mm" else 1.0)
    trials = []
    for place, step in enumerate([*steps, 0.0]):
        last = place == len(steps)
        if free:
            trials.append(_trial(bench, 9.40 + step * rocker.per_height, best + off - step, aside, last))
            continue
        bare = shim > 0 and not last and random.random() < 0.3
        slipped = random.choice([0.0] * 5 + [0.012, 0.03])
        length = 9.40 + (random.gauss(0, 0.001) if random.random() < 0.5 else random.uniform(-0.03, 0.03))
        low = best + off + (shim if bare else 0.0)
        one = _trial(bench, length - (shim * rocker.per_height if bare else 0.0), low, aside + slipped, last)
        trials.append(one | {"shim": bench.length(0.0 if bare else shim)})
    marked = [trial["mark"] for trial in trials if "mark" in trial]
    if bench.drawn.number % 4 == 1 and marked:  # made with the rod to be run
        given = {} if free else {"shim": bench.length(shim)}
        trials.append({"mark": marked[0], "springs": "running", "lifter": "locked"} | given)
    return trials


def _trial(bench: Bench, length: float, height: float, aside: float, last: bool) -> dict[str, Any]:
    random, rocker = bench.random, bench.rocker
    near, far = sweep(rocker, height)
    if not rocker.roller and random.random() < 0.3:  # a pad worn hollow bears on a narrow line
        far = near + rocker.tip / 4 + about(random, 0.0, 0.008)
    misread = random.choice([0.0] * 9 + [0.006, 0.015, -0.015])
    trial: dict[str, Any] = {"length": bench.length(length + random.gauss(0, 0.0004))}
    if last or random.random() < 0.85:
        start = bench.read(near + aside - rocker.band / 2)
        end = bench.read(far + aside + rocker.band / 2, misread)
        if one(end) - one(start) > 2 * bench.edge * INCH:
            trial["mark"] = {"from": start, "to": end}
    if rocker.roller and random.random() < 0.5:
        trial["shut_at"] = bench.read(spot(rocker, height, 0.0) + aside)
        trial["open_at"] = bench.read(spot(rocker, height, rocker.lift) + aside)
    if random.random() < 0.1:
        trial["turns_of_crank"] = random.choice([1, 2])
    if random.random() < 0.05:
        trial["lifter"] = "hydraulic"
    return trial


def _clearances(drawn: drawn_builds.Drawn, random: Random, text: Mapping[str, Any]) -> dict[str, Any]:
    """The gaps as drawn, now and then one that touches, and pistons of one cylinder that stand nearer."""
    own = dict(text)
    gaps = {"cylinder": 1, "valve": "exhaust", "piston_to_valve": drawn.length(about(random, 0.100, GAUGE))}
    own["each"] = [*text["each"], gaps]
    touched = random.random()
    if touched < 0.1:
        own["intake"] = text["intake"] | {"rocker_to_retainer": drawn.length(0.0)}
    elif touched < 0.2:
        own["exhaust"] = {name: gap for name, gap in text["exhaust"].items() if name != "rocker_to_retainer"}
    elif touched < 0.3:
        own["each"][-1]["rocker_to_retainer"] = drawn.length(0.0)
    return own
