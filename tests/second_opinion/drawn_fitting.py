"""Crank angles, second loads of springs, torques, threads and delivered rods, drawn by lot about their limits."""

from __future__ import annotations

from collections.abc import Mapping
from random import Random
from typing import Any

from drawn_builds import Drawn
from drawn_parts import about
from events_again import Cam
from rod_conventions import as_measured
from written_amounts import INCH, LBF, one, quantity


def crank(random: Random, text: Mapping[str, Any], key: tuple[int, str]) -> str:
    """Where a valve was read: near an end of its heel, in its middle, or anywhere; half of them with a doubt."""
    cam = Cam(dict(text))
    shut, opens = cam.closes(key), cam.opens(key)
    drawn = random.random()
    if drawn < 0.3:
        at = shut + random.uniform(4, 16)
    elif drawn < 0.6:
        at = opens - random.uniform(4, 16)
    elif drawn < 0.9:
        at = shut + (opens - shut) % 720 * random.uniform(0.3, 0.7)
    else:
        at = random.uniform(0, 720)
    return f"{at % 720:.1f} deg" + random.choice(["", f" +/- {random.choice([2, 5])} deg"])


def heads(random: Random, text: Mapping[str, Any]) -> dict[str, Any]:
    """What a tester gave at a second height, the rate written about a tenth off; and what the heads are cast of."""
    own = dict(text) | {"material": random.choice(["aluminium alloy", "grey cast iron", "A356 alloy", "ductile iron"])}
    own["springs"] = {}
    for valve, spring in text["springs"].items():
        pressed = random.uniform(0.3, 0.5)
        rate = quantity(spring["rate"]).si * INCH / LBF
        seat = quantity(spring["seat_force"]).si / LBF
        share = random.choice([-1, 1]) * about(random, 0.10, 0.03)
        force = seat + rate / (1 + share) * pressed
        height = quantity(spring["installed_height"]).si / INCH - pressed
        doubt = random.choice(["", " +/- 3 lbf"])
        other = {"force": f"{force:.2f} lbf{doubt}", "height": f"{height:.4f} in"}
        own["springs"][valve] = dict(spring) | ({"other_load": other} if random.random() < 0.9 else {})
    return own


def fitted(drawn: Drawn, random: Random, text: Mapping[str, Any]) -> dict[str, Any]:
    """The rods chosen, those that came, and what was set at each valve."""
    rods, rockers = dict(text["pushrods"]), dict(text["rockers"])
    if random.random() < 0.5:
        rods["length_tolerance"] = drawn.length(random.choice([0.001, 0.003]))
    lengths = [9.45, random.choice([9.45, 9.50])]
    hole = {"gauge_hole": rods["gauge_hole"]} if rods["measured_as"] == "gauge" else {}
    chosen = {valve: drawn.length(length) for valve, length in zip(("intake", "exhaust"), lengths, strict=True)}
    rods["chosen"] = chosen | {"stated_as": rods["measured_as"], **hole}
    if random.random() < 0.8:
        least = random.uniform(15, 20)
        rockers["torque"] = {"at_least": f"{least:.2f} ft-lb", "at_most": f"{(least + 5) * 1.3558:.2f} Nm"}
    if rockers["adjuster"] == "screw" and random.random() < 0.8:
        rockers["bolt_thread"] = random.choice(["5/16-18", "M8x1.25", "3/8-24"])
    if rockers["adjuster"] == "none" and random.random() < 0.8:
        rockers["adjuster_thread"] = random.choice(["5/16-18", "M8x1.25", "3/8-24"])
    own = {"delivered": _delivered(drawn, random, text, rods), "each": list(_set(drawn, random, text))}
    if rockers["mount"] == "pedestal" and random.random() < 0.8:
        rockers["bolt_turns"] = random.choice([0.1, 0.25, 0.5, 0.75, 1.5])
    return {"pushrods": rods, "rockers": rockers, "as_built": own}


def _delivered(drawn: Drawn, random: Random, text: Mapping[str, Any], rods: Mapping[str, Any]) -> list[dict[str, Any]]:
    """A box for each length chosen, in whichever convention it was measured; rods off, bent or too few now and then."""
    needed: dict[str, int] = {}
    for valve in ("intake", "exhaust"):
        needed[rods["chosen"][valve]] = needed.get(rods["chosen"][valve], 0) + text["block"]["cylinders"]
    boxes = []
    for length, count in needed.items():
        stated = random.choice(["overall", "full ball", rods["measured_as"]])
        convention = {"stated_as": stated} | ({"gauge_hole": rods["gauge_hole"]} if stated == "gauge" else {})
        came = (one(length) - as_measured(rods, convention)) / INCH
        doubt = random.choice([0.0002, 0.001])
        came += random.choice([-1, 1]) * random.choice([0.0, 0.001, 0.002, 0.003, 0.050]) + random.gauss(0, 0.0003)
        box = {"length": f"{drawn.length(came)} +/- {drawn.length(doubt)}", **convention}
        if random.random() < 0.8:
            box["run_out"] = f"{drawn.length(max(about(random, 0.006, 0.002), 0.0))} +/- {drawn.length(0.001)}"
        boxes.append(box | {"count": max(count - random.choice([0, 0, 0, 1, -1]), 1)})
    return boxes


def _set(drawn: Drawn, random: Random, text: Mapping[str, Any]) -> list[dict[str, Any]]:
    each = []
    for cylinder in text["block"]["firing_order"][:4]:
        for valve in ("intake", "exhaust"):
            torque = (
                f"{random.uniform(13, 27):.1f} ft-lb" if random.random() < 0.5 else f"{random.uniform(18, 36):.1f} Nm"
            )
            torque += random.choice(["", " +/- 1 ft-lb" if "ft" in torque else " +/- 1 Nm"])
            entry = {"cylinder": cylinder, "valve": valve, "rocker_torque": torque}
            held = about(random, random.choice([5 / 16, 3 / 8, 0.47, 0.56]), 0.02)
            each.append(entry | {"engagement": f"{drawn.length(held)} +/- {drawn.length(0.02)}"})
    return each
