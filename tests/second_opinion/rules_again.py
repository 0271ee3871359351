"""What each measured rule is about and where it ends, worked out again from the files with another package.

Values are SI with their uncertainty; limits are the trade's own (common practice, no published source).
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import pi, sqrt
from typing import Any

from allowed_lengths import Engine
from drawn_parts import GAPS
from uncertainties import UFloat, ufloat
from uncertainties.core import AffineScalarFunc, LinearCombination
from written_amounts import INCH, gauge, quantity

VALVES = ("intake", "exhaust")
Key = tuple[int, str]


@dataclass(frozen=True)
class Judged:
    """A value and its limits, and whether a value of nothing or less fails whatever its uncertainty."""

    rule: str
    valve: str
    value: UFloat
    least: UFloat | float | None = None
    most: UFloat | float | None = None
    at_zero: bool = False
    cylinder: int | None = None

    @property
    def rooms(self) -> list[UFloat]:
        """From the value to each limit, negative where it is broken."""
        sides = [] if self.least is None else [self.value - self.least]
        return sides + ([] if self.most is None else [self.most - self.value])

    @property
    def kind(self) -> str:
        """Guard band w = U = 2u: JCGM 106:2012, 8.3.2."""
        if self.at_zero and self.value.nominal_value <= 1e-12:
            return "fail"
        clear = [(room.nominal_value, 2 * room.std_dev) for room in self.rooms]
        if any(room < -expanded - 1e-12 for room, expanded in clear):
            return "fail"
        return "pass" if all(room >= expanded - 1e-12 for room, expanded in clear) else "open"


def exactly(si: float) -> UFloat:
    """A number without doubt, which the package warns of when it is made as one with a doubt of nothing."""
    return AffineScalarFunc(si, LinearCombination({}))


def measured(text: str, u: float = 0.0) -> UFloat:
    """A written amount; one without a stated uncertainty has its gauge's."""
    result = quantity(text)
    return exactly(result.si) if not (result.u or u) else ufloat(result.si, result.u or u)


METRIC = {
    0.008: 0.2, 0.020: 0.5, 0.030: 0.75, 0.035: 0.9, 0.040: 1.0, 0.050: 1.25, 0.060: 1.5, 0.080: 2.0, 0.100: 2.5,
}  # fmt: skip
"""The limits that the rules state in inches, and what they state for builds in millimetres."""


def is_metric(data: dict[str, Any]) -> bool:
    """Whether a build is in millimetres: by its units, else by what most of its lengths are written in."""
    text = json.dumps(data)
    return bool(data["build"].get("units", "metric" if text.count(" mm") > text.count(" in") else "inch") == "metric")


def in_millimetres(judged: Judged) -> Judged:
    """The same against the limits of builds in millimetres."""
    if judged.rule == "mark-width":
        return replace(judged, most=judged.most + 0.75e-3 - 0.030 * INCH if judged.most is not None else None)
    return replace(judged, least=_in_millimetres(judged.least), most=_in_millimetres(judged.most))


def _in_millimetres(limit: UFloat | float | None) -> UFloat | float | None:
    si = getattr(limit, "nominal_value", limit)
    return next((mm * 1e-3 for inch, mm in METRIC.items() if si is not None and abs(si - inch * INCH) < 1e-9), limit)


def magnitude(found: UFloat) -> UFloat:
    """As far from zero, whichever way."""
    return found if found.nominal_value >= 0 else -found


def gaps(engine: Engine) -> Iterator[Judged]:
    """Feeler gauge readings, each against its limit; the retainer's with the valve's lift taken off."""
    data = engine.data["clearances"]
    own_gauge = gauge(data["gauge"])
    for place, valve in enumerate(VALVES):
        for name, limits in GAPS.items():
            if name not in data[valve] or (name == "rocker_to_stud" and engine.data["rockers"]["mount"] != "stud"):
                continue
            found = _by_gauge(data[valve][name], own_gauge)
            least = limits[place] * INCH
            if name == "retainer_to_seal":
                found -= lift(engine, valve)
            yield Judged(name.replace("_", "-"), valve, found, least=least, at_zero=True)


def _by_gauge(entry: Any, u: float) -> UFloat:
    if isinstance(entry, dict):
        return measured(entry["value"], gauge(entry["gauge"]))
    return measured(entry, u)


def lift(engine: Engine, valve: str) -> UFloat:
    """Lobe lift times ratio, less the lash; of cylinder 1 the highest reading at the valve, if it was read there."""
    motion = engine.data.get("motion", {"valves": []})
    for entry in motion["valves"]:
        if (entry["cylinder"], entry["valve"], entry["at"]) == (1, valve, "valve"):
            highest = max(quantity(reading["lift"]).si for reading in entry["readings"])
            return ufloat(highest, gauge(motion["gauge"]))
    card = engine.data["cam"][valve]
    return measured(card["lobe_lift"]) * engine.ratio(valve) - (measured(card["lash"]) if "lash" in card else 0)


def springs(engine: Engine) -> Iterator[Judged]:
    """Coil bind, forces against the card, load lost since new, and what wire and coils come to."""
    for valve in VALVES:
        spring, card = engine.data["heads"]["springs"][valve], engine.data["cam"][valve]
        seat, rate, bind = (measured(spring[key]) for key in ("seat_force", "rate", "coil_bind_height"))
        clear = measured(spring["installed_height"]) - lift(engine, valve) - bind
        limits = engine.data["build"].get("limits", {}).get("coil-bind-clearance", {})
        least = measured(limits["at_least"]) if limits else exactly(0.060 * INCH)
        yield Judged("coil-bind-clearance", valve, clear, least=least, at_zero=True)
        if "seat_force" in card:
            low, high = (measured(card["seat_force"][side]) for side in ("at_least", "at_most"))
            yield Judged("seat-force", valve, seat, least=low, most=high)
            most = measured(card["open_force"]["at_most"])
            yield Judged("open-force", valve, seat + rate * lift(engine, valve), most=most)
        if "force_when_new" in spring:
            yield Judged("spring-load-loss", valve, 1 - seat / measured(spring["force_when_new"]), most=0.10)
        if "wire" in spring:
            wire = measured(spring["wire"])
            off = bind - wire * float(spring["coils"])
            yield Judged("solid-height-agrees", valve, magnitude(off), most=wire / 2)


def buckling(engine: Engine, longest: dict[str, tuple[float, int]]) -> Iterator[Judged]:
    """Euler below the limit of slenderness, Johnson above: pinned ends, static load over the open spring."""
    rods = engine.data["pushrods"]
    outer, wall, strength = (quantity(rods[key]).si for key in ("diameter", "wall", "yield_strength"))
    inner, elastic = outer - 2 * wall, 30e6 * 6894.757293168361
    area, second = pi / 4 * (outer**2 - inner**2), pi / 64 * (outer**4 - inner**4)
    for valve in VALVES:
        spring = engine.data["heads"]["springs"][valve]
        opened = measured(spring["seat_force"]) + measured(spring["rate"]) * lift(engine, valve)
        length, cylinder = longest[valve]
        slender = length / sqrt(second / area)
        euler = pi**2 * elastic * area / slender**2
        johnson = area * (strength - (strength * slender / (2 * pi)) ** 2 / elastic)
        bears = euler if slender > sqrt(2 * pi**2 * elastic / strength) else johnson
        yield Judged("pushrod-buckling", valve, bears / (opened * engine.ratio(valve)), least=3.0, cylinder=cylinder)


def room_above(engine: Engine) -> Iterator[Judged]:
    """Quench and compression ratio of cylinder 1."""
    block, head = engine.data["block"], engine.data["heads"]
    bore, stroke, deck = (measured(block[key]) for key in ("bore", "stroke", "deck_clearance"))
    gasket = measured(head["gasket"]["thickness"])
    yield Judged("quench", "", deck + gasket, least=0.035 * INCH, most=0.060 * INCH)
    clearance = measured(head["chamber_volume"]) + measured(block["piston_volume"]) + pi / 4 * bore**2 * deck
    clearance += pi / 4 * measured(head["gasket"]["bore"]) ** 2 * gasket
    yield Judged("compression-plausible", "", 1 + pi / 4 * bore**2 * stroke / clearance, least=6.0, most=13.0)


def marks(engine: Engine) -> Iterator[Judged]:
    """Each valve's last mark: on the tip, in its middle third, near its centre, no wider than a roller's should be."""
    u = gauge(engine.data["marks"]["mark_gauge"])
    for entry in engine.data["marks"]["valves"]:
        last, valve = entry["trials"][-1], entry["valve"]
        if "mark" not in last:
            continue
        start, end = (measured(last["mark"][edge], u) for edge in ("from", "to"))
        rocker, tip = engine.rocker(valve), tip_of(engine, valve)
        beside = min(start, tip - end, key=lambda room: room.nominal_value)
        off = magnitude(start + end - tip) / 2
        who = {"valve": valve, "cylinder": entry["cylinder"]}
        least = 0.030 * INCH if rocker.roller else 0.0
        yield Judged("mark-on-tip", value=beside, least=least, at_zero=True, **who)
        yield Judged("mark-centred", value=off, most=tip / 6, **who)
        yield Judged("mark-near-centre", value=off, most=0.030 * INCH, **who)
        if rocker.roller and engine.data["marks"]["lifter"] != "hydraulic":
            width = end - start - measured(engine.data["marks"]["contact_band"], 0.0)
            narrowest = rocker.arm - sqrt(rocker.arm**2 - rocker.lift**2 / 4)
            yield Judged("mark-width", value=width, most=narrowest + 0.030 * INCH, **who)


def tip_of(engine: Engine, valve: str) -> UFloat:
    """Diameter of the valve's tip, or of its lash cap."""
    head = engine.data["heads"]["valves"][valve]
    return measured(head["lash_cap"]["diameter"] if "lash_cap" in head else head["tip_diameter"])
