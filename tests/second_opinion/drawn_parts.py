"""Springs, gaps and volumes drawn by lot about their limits, so that rules pass, fail and stay open alike."""

from __future__ import annotations

from collections.abc import Callable
from random import Random
from typing import Any

Said = Callable[[float], str]
"""Inches as the build writes them."""
GAUGE, FINER = 0.003, 0.0008
GAPS = {
    "rocker_to_retainer": (0.040, 0.040), "rocker_to_stud": (0.060, 0.060), "pushrod_to_head": (0.030, 0.030),
    "piston_to_valve": (0.080, 0.100), "retainer_to_seal": (0.050, 0.050),
}  # fmt: skip
"""What the trade requires at intake and exhaust, in; common practice, no published source."""


def about(random: Random, limit: float, expanded: float) -> float:
    """A value up to twice its uncertainty beyond a limit or short of it."""
    return limit + random.uniform(-2.0, 2.0) * expanded


def clearances(random: Random, text: Said, lift: float) -> dict[str, Any]:
    """The gaps of both valve types, one of them by a finer gauge, and of one valve alone."""
    own: dict[str, Any] = {"gauge": {"name": "feeler blades", "resolution": text(0.001), "uncertainty": text(GAUGE)}}
    for place, valve in enumerate(("intake", "exhaust")):
        gaps = {name: about(random, limit[place], GAUGE) for name, limit in GAPS.items()}
        gaps["retainer_to_seal"] += lift
        own[valve] = {name: text(gap) for name, gap in gaps.items()}
    fine = {"name": "wire", "resolution": text(0.0002), "uncertainty": text(FINER)}
    own["exhaust"]["pushrod_to_head"] = {"value": text(about(random, 0.030, FINER)), "gauge": fine}
    own["each"] = [{"cylinder": 3, "valve": "intake", "pushrod_to_head": text(about(random, 0.030, GAUGE))}]
    return own


def springs(random: Random, text: Said, lift: float) -> dict[str, Any]:
    """A spring for each valve type: coil bind, load lost and solid height drawn about what they may be."""
    own = {}
    for valve in ("intake", "exhaust"):
        bind, expanded, rate = random.uniform(1.0, 1.2), 0.010, random.uniform(200, 320)
        seat, coils = random.uniform(80, 120), random.choice([5.5, 6.0, 6.5])
        new = seat / (1 - about(random, 0.10, 0.02))
        height = about(random, lift + bind + 0.060, expanded)
        own[valve] = {
            "installed_height": f"{text(height)} +/- {text(expanded)}", "coil_bind_height": text(bind),
            "seat_force": f"{seat:.2f} lbf +/- 1.5 lbf", "force_when_new": f"{new:.2f} lbf",
            "rate": f"{rate:.2f} lbf/in",
            "wire": text(bind / coils * random.uniform(0.8, 1.2)), "coils": coils, "ends": "squared ground",
        }  # fmt: skip
    return own


def card(random: Random) -> dict[str, Any]:
    """What a cam's card says of springs."""
    return {
        "seat_force": {
            "at_least": f"{random.uniform(75, 105):.2f} lbf",
            "at_most": f"{random.uniform(105, 125):.2f} lbf",
        },
        "open_force": {"at_most": f"{random.uniform(180, 270):.2f} lbf"},
    }


def volumes(random: Random, text: Said) -> tuple[dict[str, Any], dict[str, Any]]:
    """A cylinder's block and head; the gasket is drawn about both limits of the quench."""
    deck, doubt = random.uniform(-0.005, 0.015), 0.003
    gasket = about(random, random.choice([0.035, 0.060]), doubt) - deck
    block = {
        "bore": text(random.uniform(3.4, 4.1)), "stroke": text(random.uniform(3.0, 3.9)),
        "deck_clearance": f"{text(deck)} +/- {text(doubt)}", "piston_volume": f"{random.uniform(-10, 14):.2f} cc",
    }  # fmt: skip
    head = {
        "chamber_volume": f"{random.uniform(38, 130):.2f} cc +/- 0.6 cc",
        "gasket": {"thickness": text(gasket), "bore": text(random.uniform(4.1, 4.2))},
    }
    return block, head
