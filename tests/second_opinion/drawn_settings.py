"""Builds drawn by lot for what is set: rods chosen, turns, screws, lash, warmth, old lengths, banks, single valves off.

Each file is written as JSON, which is YAML. Everything is drawn about its limit, inch and mm mixed within a build.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path
from random import Random
from typing import Any

import drawn_warmth
from drawn_builds import LIFTERS
from pivot_height import Rocker, spot, sweep

MOUNTS = [("pedestal", "none"), ("shaft", "screw"), ("stud", "nut"), ("shaft", "none"), ("stud", "none")]
LAYOUTS: list[tuple[str, int, list[list[int]]]] = [
    ("inline", 6, []), ("vee", 8, [[1, 3, 5, 7], [2, 4, 6, 8]]), ("inline", 8, []),
    ("vee", 8, [[1, 2, 3, 4], [5, 6, 7, 8]]), ("flat", 4, [[1, 3], [2, 4]]),
    ("vee", 12, [[1, 2, 3, 4, 5, 6], [7, 8, 9, 10, 11, 12]]), ("inline", 1, []),
]  # fmt: skip
LEAST, MOST, LASH, TOLERANCE = 0.020, 0.060, 0.014, 0.004
BALL = {"type": "ball", "ball_radius": "5/32 in", "oil_hole": "0.080 in"}


@dataclass(frozen=True)
class Set:
    """What was drawn, and the choices that follow from its number."""

    number: int
    random: Random
    lengths: dict[tuple[int, str], float]
    """Zero lash of every valve, in, in the build's own convention."""

    @property
    def mount(self) -> tuple[str, str]:
        return MOUNTS[self.number % 5]

    @property
    def lifter(self) -> str:
        return LIFTERS[self.number // 5 % 4]

    @property
    def solid(self) -> bool:
        return "solid" in self.lifter

    def text(self, inches: float, expanded: float = 0.0) -> str:
        """As written, in one unit or the other, at times with its uncertainty."""
        mm = self.random.random() < 0.5
        one, doubt = (f"{x * 25.4:.4f} mm" if mm else f"{x:.5f} in" for x in (inches, expanded))
        return f"{one} +/- {doubt}" if expanded else one

    def perhaps(self, share: float, **entries: Any) -> dict[str, Any]:
        return drawn_warmth.perhaps(self.random, share, **entries)


def lay_out(folder: Path, number: int) -> Path:
    """One build, on disk."""
    random = Random(1000 + number)
    layout = LAYOUTS[number % 7]
    drawn = Set(number, random, _lengths(random, layout))
    folder.mkdir(parents=True)
    for name, text in _files(drawn, layout).items():
        (folder / f"{name}.yaml").write_text(json.dumps(text), encoding="utf-8")
    return folder


def _lengths(random: Random, layout: tuple[str, int, list[list[int]]]) -> dict[tuple[int, str], float]:
    _, cylinders, banks = layout
    spread, step = random.choice([0.0005, 0.002, 0.009, 0.03]), random.choice([0.0, 0.0, 0.012, 0.020, 0.035])
    odd = random.randint(1, cylinders), random.choice([0.0, 0.0, 0.05])
    return {
        (cylinder, valve): 9.4 + random.gauss(0, spread)
        + (step if banks and cylinder in banks[1] else 0.0) + (odd[1] if cylinder == odd[0] else 0.0)
        for cylinder in range(1, cylinders + 1) for valve in ("intake", "exhaust")
    }  # fmt: skip


def _files(drawn: Set, layout: tuple[str, int, list[list[int]]]) -> dict[str, Any]:
    kind, cylinders, banks = layout
    random, text, perhaps = drawn.random, drawn.text, drawn.perhaps
    ratio: Any = random.choice([1.5, 1.6, {"intake": 1.6, "exhaust": 1.5}])
    named = {"banks": dict(zip(("left", "right"), banks, strict=True))} if banks else {}
    block, head, stems, build = drawn_warmth.parts(random, text)
    files = {
        "build": {"name": f"Set {drawn.number}", "stage": "ordering", "units": "inch"} | build,
        "block": {"layout": kind, "cylinders": cylinders, "firing_order": [*range(1, cylinders + 1)]} | named | block,
        "heads": {"valves": {valve: {"tip_diameter": text(0.34)} | stems[valve] for valve in stems}} | head,
        "cam": _cam(drawn),
        "rockers": _rockers(drawn, ratio),
        "pushrods": _rods(drawn),
        "marks": _marks(drawn),
    }
    if random.random() < 0.7:
        files["stackup"] = drawn_warmth.changes(random, text, drawn.lengths[1, "intake"], drawn.mount[1] == "nut")
    if drawn.mount[1] != "none":
        files |= perhaps(
            0.5, as_built={"each": [_as_set(drawn, key) for key in drawn.lengths if random.random() < 0.6]}
        )
    return files


def _as_set(drawn: Set, key: tuple[int, str]) -> dict[str, Any]:
    own: dict[str, Any] = {"cylinder": key[0], "valve": key[1]}
    if drawn.solid:
        return own | {"lash": drawn.text(LASH + drawn.random.uniform(-2, 2) * TOLERANCE, 0.0015)}
    return own | {"adjuster_turns": drawn.random.choice([0.25, 0.5, 0.75, 1.5])}


def _cam(drawn: Set) -> dict[str, Any]:
    text, perhaps, random = drawn.text, drawn.perhaps, drawn.random
    lobes = {valve: {"lobe_lift": text(0.3)} for valve in ("intake", "exhaust")}
    if not drawn.solid:
        preload = {"at_least": text(LEAST), "at_most": text(MOST)} | perhaps(
            0.4, aim=text(random.choice([0.018, 0.03, 0.045, 0.06]))
        )
        return {
            "lifter": {"type": drawn.lifter, "preload": preload} | perhaps(0.8, cup_height=text(1.89, 0.001))
        } | lobes
    card = perhaps(0.7, lash_at=random.choice(["cold", "cold", "hot"])) | perhaps(0.7, lash_tolerance=text(TOLERANCE))
    with_lash = {valve: own | {"lash": text(LASH)} for valve, own in lobes.items()}
    return {"lifter": {"type": drawn.lifter}} | card | with_lash


def _rockers(drawn: Set, ratio: Any) -> dict[str, Any]:
    text, random, (mount, adjuster) = drawn.text, drawn.random, drawn.mount
    own: dict[str, Any] = {"mount": mount, "adjuster": adjuster, "ratio": ratio, "valve_arm": text(1.55)}
    own |= {"tip": {"type": "roller", "radius": text(0.25)}}
    if adjuster != "none":
        own["adjuster_thread"] = random.choice(["M8x1.25", "3/8-24", "7/16-20"])
        if not drawn.solid:
            own |= drawn.perhaps(0.6, adjuster_turns=random.choice([0.25, 0.5, 0.75, 1.0, 1.5]))
    if adjuster == "screw":
        own |= drawn.perhaps(0.9, adjuster_range=text(0.05)) | drawn.perhaps(0.5, screw_at=text(0.01, 0.002))
    return own


def _rods(drawn: Set) -> dict[str, Any]:
    text, random = drawn.text, drawn.random
    stated = random.choice([{"stated_as": "overall"}, {"stated_as": "full ball"}, {"stated_as": "gauge"}])
    stated |= {"gauge_hole": text(0.14)} if stated["stated_as"] == "gauge" else {}
    rods = {
        "ends": BALL, "measured_as": random.choice(["overall", "full ball"]), "material": "steel",
        "inclination": "4 deg",
        "checker": {"thread": "1/4-28", "length_at_zero_turns": text(9.0, 0.002)}
                   | {"ends": BALL | {"oil_hole": "0.060 in"}},
    }  # fmt: skip
    rods |= drawn.perhaps(0.7, length_tolerance=text(0.002))
    steps = [0.025, 0.050] if random.random() < 0.3 else [random.choice([0.01, 0.025, 0.05])]
    rods |= drawn.perhaps(
        0.95,
        stock=[{"from": text(9.0), "to": text(10.0), "step": text(step)} | stated for step in steps],
    )
    return rods | drawn.perhaps(0.75, chosen=_chosen(drawn) | stated)


def _chosen(drawn: Set) -> dict[str, Any]:
    """Rods about what the valves need; one or two of their own."""
    random = drawn.random
    needed = {
        key: zero + (-LASH / 1.6 if drawn.solid else random.choice([LEAST, 0.04, MOST]))
        for key, zero in drawn.lengths.items()
    }
    wide = 0.06 if drawn.mount[1] == "screw" else 0.006
    own = {valve: drawn.text(needed[1, valve] + random.uniform(-wide, wide)) for valve in ("intake", "exhaust")}
    each = [
        {"cylinder": key[0], "valve": key[1], "length": drawn.text(length + random.uniform(-wide, wide) / 2)}
        for key, length in needed.items() if random.random() < 0.4
    ]  # fmt: skip
    return own | {"each": each} if each else own


def _marks(drawn: Set) -> dict[str, Any]:
    text, random, perhaps = drawn.text, drawn.random, drawn.perhaps
    gauges = [
        {"resolution": text(0.0005)},
        {"resolution": text(0.001), "uncertainty": text(random.choice([0.002, 0.0065, 0.02]))},
    ]
    marks: dict[str, Any] = perhaps(0.9, length_gauge={"name": "caliper"} | random.choice(gauges))
    marks |= {"mark_gauge": {"name": "loupe", "uncertainty": text(0.002)}, "springs": "checking"}
    marks |= perhaps(0.6, zero_lash_repeatability=text(0.003)) | {"lifter": random.choice(["solid", "solid", "locked"])}
    if not drawn.solid and marks["lifter"] == "solid":
        marks |= perhaps(0.9, lifter_cup_height=text(1.9, 0.001))
    share = random.choice([0.1, 0.5, 1.0])
    entries = [_valve(drawn, key) for key in drawn.lengths if random.random() < share or key == (1, "intake")]
    if "lifter_cup_height" in marks and drawn.number % 3 and drawn.mount[1] != "nut":
        for entry in (entry for entry in entries if random.random() < 0.6):
            random.choice(entry["trials"]).update(
                random.choice([{"lifter": "locked"}, {"lifter_cup_height": text(1.895, 0.001)}])
            )
    return marks | {"valves": entries}


def _valve(drawn: Set, key: tuple[int, str]) -> dict[str, Any]:
    random = drawn.random
    if drawn.mount[1] == "nut":
        trials = [_under_a_nut(drawn, key)]
    else:
        trials = [_reading(drawn, key) for _ in range(random.choice([1, 1, 2, 3]))]
        if random.random() < 0.3:
            trials.insert(0, {"length": drawn.text(drawn.lengths[key] - 0.04), "shim": drawn.text(0.03)})
    if drawn.number % 8 == 3 and key == (1, "intake") and drawn.mount[1] != "nut":
        trials.append({"length": drawn.text(drawn.lengths[key] + 0.030)})
    if drawn.number % 3 == 1 and key[0] % 2:
        run = {"springs": "running", "lifter": "solid" if drawn.solid else "hydraulic"}
        trials.append({"mark": {"from": "0.150 in", "to": "0.190 in"}} | run)
    return {"cylinder": key[0], "valve": key[1], "trials": trials}


def _reading(drawn: Set, key: tuple[int, str]) -> dict[str, Any]:
    random, length = drawn.random, drawn.lengths[key] + drawn.random.gauss(0, 0.0008)
    if random.random() < 0.2:
        return {"turns": round((length - 9.0) * 28 * 4) / 4}
    return {"length": drawn.text(length, random.choice([0.0, 0.0, 0.0, 0.0025]))}


def _under_a_nut(drawn: Set, key: tuple[int, str]) -> dict[str, Any]:
    rocker = Rocker(1.55, 0.45, 0.0, 0.34, 1.6, 0.0, True)
    height = 0.225 + drawn.random.uniform(-0.03, 0.03)
    off = 0.17 - sum(sweep(rocker, 0.225)) / 2
    near, far = (edge + off for edge in sweep(rocker, height))
    shut, opened = (spot(rocker, height, lifted) + off for lifted in (0.0, 0.45))
    lines = {"shut_at": drawn.text(shut), "open_at": drawn.text(opened)}
    return {
        "length": drawn.text(drawn.lengths[key]),
        "mark": {"from": drawn.text(near), "to": drawn.text(far)},
    } | lines
