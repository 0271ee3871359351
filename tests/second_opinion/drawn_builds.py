"""Builds drawn by lot: every mount, adjuster, lifter, tip, convention, unit and layout; their readings fit together.

Each file is written as JSON, which is YAML. Lengths in the build's own unit; the engine's truth stays here.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from math import cos, radians
from pathlib import Path
from random import Random
from typing import Any

import drawn_parts
from pivot_height import Rocker, spot, sweep

MOUNTS = [("stud", "nut"), ("pedestal", "none"), ("shaft", "screw"), ("shaft", "none"), ("stud", "none")]
LIFTERS = ["hydraulic flat", "hydraulic roller", "solid flat", "solid roller"]
STATED = ["overall", "full ball", "gauge"]
LAYOUTS: list[tuple[str, list[list[int]]]] = [("inline", []), ("vee", [[1, 3], [2, 4]]), ("flat", [[1, 3], [2, 4]])]
RADIUS, SEATS = 0.156, (0.120, 0.070)
ORDER = [1, 3, 4, 2]


@dataclass(frozen=True)
class Drawn:
    """What was drawn, and the choices that follow from its number."""

    number: int
    random: Random

    @property
    def mount(self) -> tuple[str, str]:
        return MOUNTS[self.number % 5]

    @property
    def solid(self) -> bool:
        return "solid" in self.lifter

    @property
    def lifter(self) -> str:
        return LIFTERS[self.number % 4]

    @property
    def pad_tip(self) -> bool:
        return self.number % 7 == 3

    @property
    def unit(self) -> str:
        return "mm" if self.number % 2 else "in"

    @property
    def layout(self) -> tuple[str, list[list[int]]]:
        return LAYOUTS[self.number // 2 % 3]

    def length(self, inches: float) -> str:
        return f"{inches * 25.4:.4f} mm" if self.unit == "mm" else f"{inches:.5f} in"


def lay_out(folder: Path, number: int) -> Path:
    """One build, on disk."""
    drawn = Drawn(number, Random(number))
    folder.mkdir(parents=True)
    for name, text in _files(drawn).items():
        (folder / f"{name}.yaml").write_text(json.dumps(text), encoding="utf-8")
    return folder


def _files(drawn: Drawn) -> dict[str, Any]:
    random, text = drawn.random, drawn.length
    ratio, lobe = random.choice([1.4, 1.5, 1.6, 1.7]), random.uniform(0.26, 0.32)
    arm, tip, lean = random.uniform(1.4, 1.6), random.uniform(0.30, 0.34), random.choice([0, 0, 3, -3])
    inclined = random.choice([0, 4, 6])
    shim = 0.0 if drawn.mount[1] == "nut" else random.choice([0.0, 0.030])
    lean = lean if drawn.mount[0] == "stud" else 0
    per_height = cos(radians(inclined - lean)) / cos(radians(lean)) + 1 / ratio
    rocker = Rocker(arm, lobe * ratio, random.choice([0.0, 0.012]), tip, per_height, 0.0, not drawn.pad_tip)
    rods = _rods(drawn, inclined)
    swept = rocker.lift - (0.014 if drawn.solid else 0.0)
    block, volumes = drawn_parts.volumes(random, text)
    head = {"tip_diameter": text(tip)} if random.random() < 0.7 else {
        "tip_diameter": text(0.25), "lash_cap": {"diameter": text(tip), "thickness": text(0.06)}
    }  # fmt: skip
    return {
        "build": {
            "name": f"Drawn {drawn.number}",
            "stage": "ordering",
            "units": "inch",
            "purpose": "to be computed twice",
        },
        "block": _block(drawn) | block,
        "clearances": drawn_parts.clearances(random, text, swept),
        "heads": {"valves": {"intake": head, "exhaust": head}, "springs": drawn_parts.springs(random, text, swept)}
        | volumes,
        "cam": _cam(drawn, lobe),
        "rockers": _rockers(drawn, rocker, ratio, lean, shim),
        "pushrods": rods,
        "marks": _marks(drawn, rocker, rods, shim),
    }


def _block(drawn: Drawn) -> dict[str, Any]:
    layout, banks = drawn.layout
    named = {"banks": dict(zip(("left", "right"), banks, strict=True))} if banks else {}
    return {"layout": layout, "cylinders": 4, "firing_order": ORDER, **named}


def _cam(drawn: Drawn, lobe: float) -> dict[str, Any]:
    text = drawn.length
    lash = {"lash": text(0.014)} if drawn.solid else {}
    own = {"lobe_lift": text(lobe), "duration": "264 deg", "centreline": "108 deg", **lash}
    own |= drawn_parts.card(drawn.random)
    if drawn.solid:
        return {
            "lifter": {"type": drawn.lifter},
            "lash_at": "cold",
            "lash_tolerance": text(0.02),
            "intake": own,
        } | {"exhaust": own}
    preload = {"at_least": text(0.020), "at_most": text(0.080)}
    preload |= {"aim": text(0.045)} if drawn.random.random() < 0.5 else {}
    lifter = {"type": drawn.lifter, "preload": preload, "cup_height": text(1.890)}
    return {"lifter": lifter, "intake": own, "exhaust": own}


def _rockers(drawn: Drawn, rocker: Rocker, ratio: float, lean: int, shim: float) -> dict[str, Any]:
    text, (mount, adjuster) = drawn.length, drawn.mount
    kind = {"type": "pad", "radius": text(0.900)} if drawn.pad_tip else {"type": "roller", "radius": text(0.250)}
    own: dict[str, Any] = {"mount": mount, "adjuster": adjuster, "ratio": ratio, "tip": kind}
    own |= {"valve_arm": text(rocker.arm)}
    if mount == "stud":
        own["stud_lean"] = f"{lean} deg"
    if adjuster != "nut":
        own["shim"] = text(shim)
    if adjuster != "none":
        own["adjuster_thread"] = "M8x1.25" if drawn.unit == "mm" else "3/8-24"
    if adjuster == "nut" and not drawn.solid:
        own["adjuster_turns"] = 0.5
    if adjuster == "screw":
        own |= {"adjuster_range": text(0.090), "screw_at": text(drawn.random.choice([0.0, 0.020]))}
    return own


def _rods(drawn: Drawn, inclined: int) -> dict[str, Any]:
    text, random = drawn.length, drawn.random
    ball = {"type": "ball", "ball_radius": text(RADIUS), "oil_hole": text(random.choice([0.0601, 0.080]))}
    cup = {"type": "cup", "ball_radius": text(RADIUS), "oil_hole": text(0.060)}
    both = drawn.number % 11 != 5
    ends = ball if both else {"lifter": ball, "rocker": cup}
    measured, stated = STATED[drawn.number % 3], STATED[drawn.number // 3 % 3]
    if not both:
        measured = stated = "overall"
    other = ball | {"oil_hole": text(0.060)}
    return {
        "diameter": text(0.3125), "wall": text(random.uniform(0.035, 0.08)), "material": "steel",
        "yield_strength": random.choice(["35 ksi", "60 ksi"]), "inclination": f"{inclined} deg",
        "ends": ends, "measured_as": measured, **_seat(measured, text(SEATS[drawn.number % 2])),
        "length_tolerance": text(0.002),
        "checker": {"thread": "1/4-28", "length_at_zero_turns": text(9.2), "most_turns": 14}
        | ({"ends": other} if both else {}),
        "stock": [{"from": text(8.8), "to": text(10.0), "step": text(random.choice([0.010, 0.025, 0.050]))}
                  | {"stated_as": stated, **_seat(stated, text(0.120))}],
        "spares": drawn.number % 3,
    }  # fmt: skip


def _seat(convention: str, hole: str) -> Mapping[str, str]:
    return {"gauge_hole": hole} if convention == "gauge" else {}


def _marks(drawn: Drawn, rocker: Rocker, rods: Mapping[str, Any], shim: float) -> dict[str, Any]:
    text, random = drawn.length, drawn.random
    stand_in = not drawn.solid and random.random() < 0.5
    valves = [(cylinder, valve) for cylinder in (1, 2, 3, 4) for valve in ("intake", "exhaust")]
    needed = {1, 2} if drawn.layout[0] == "vee" else {1, 4}
    measured = [key for key in valves if key[0] in needed or random.random() < 0.4]
    marks = {
        "length_gauge": {"name": "caliper", "resolution": text(0.0005), "uncertainty": text(0.001)},
        "mark_gauge": {"name": "loupe", "resolution": text(0.0005), "uncertainty": text(0.002)},
        "zero_lash_repeatability": text(0.002), "contact_band": text(rocker.band), "springs": "checking",
        "lifter": "solid" if stand_in or drawn.solid else "locked", "turns_of_crank": 2,
        "valves": [_valve(drawn, rocker, key, shim) for key in measured],
    }  # fmt: skip
    return marks | ({"lifter_cup_height": text(1.905)} if stand_in else {})


def _valve(drawn: Drawn, rocker: Rocker, key: tuple[int, str], shim: float) -> dict[str, Any]:
    random, free = drawn.random, drawn.mount[1] == "nut"
    best = rocker.lift * (1.8 if drawn.pad_tip else 0.5)
    near, far = sweep(rocker, best)
    aside = 0.012 if free or drawn.pad_tip else 0.125
    off = rocker.tip / 2 + random.uniform(-aside, aside) - (near + far) / 2
    own = 9.40 + (0.06 if key[1] == "exhaust" and drawn.number % 4 > 1 else 0.0) + random.gauss(0, 0.004)
    steps = [random.uniform(-0.06, 0.06), random.uniform(-0.03, 0.03)] if free else [random.gauss(0, 0.0004)] * 2
    trials = []
    for step in steps[random.randrange(2) :]:
        low = -step / rocker.per_height if free else random.uniform(-0.004, 0.004)
        near, far = sweep(rocker, best + low)
        shut, opened = (spot(rocker, best + low, lifted) for lifted in (0.0, rocker.lift))
        edges = {"from": near + off - rocker.band / 2, "to": far + off + rocker.band / 2}
        lines = {} if drawn.pad_tip else {"shut_at": shut + off, "open_at": opened + off}
        trials.append(
            {"length": drawn.length(own + step), **({} if free else {"shim": drawn.length(shim)})}
            | {"mark": {edge: _read(drawn, at) for edge, at in edges.items()}}
            | {line: _read(drawn, at) for line, at in lines.items()}
        )
    return {"cylinder": key[0], "valve": key[1], "crank": _heel(key), "trials": trials}


def _read(drawn: Drawn, exact: float) -> str:
    return drawn.length(round((exact + drawn.random.gauss(0, 0.0006)) / 0.0005) * 0.0005)


def _heel(key: tuple[int, str]) -> str:
    after = 108 if key[1] == "intake" else 720 - 108
    return f"{(after + 180 * ORDER.index(key[0])) % 720} deg"
