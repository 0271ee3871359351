"""Named quantities of a cylinder's volumes: displacement, compression ratio, quench."""

from __future__ import annotations

from collections.abc import Mapping

from buildcheck.build.facts import Facts
from buildcheck.core.subject import Subject
from buildcheck.core.value import Undecided, Value, derive, exact
from buildcheck.formulas import compression
from buildcheck.units.quantity import show

SEAT_TO_SEAT = 0.020 * 0.0254
"""Lifter rise, m, from which on a stated duration is no longer about seat to seat."""

Parts = Mapping[str, Value]
"""What a cylinder's room above the piston is made of, named as the formula names it."""


def displacement(facts: Facts, subject: Subject) -> Value:
    """Displacement of all cylinders, m³."""
    cylinders = facts.cylinders
    sides = facts.field("block.bore"), facts.field("block.stroke")
    return derive("volume", lambda b, s: compression.displacement(b, s, cylinders), *sides)


def compression_ratio(facts: Facts, subject: Subject) -> Value:
    """Static compression ratio of a cylinder: volume at bottom dead centre over volume at top dead centre."""
    return static_ratio(cylinder_parts(facts, subject), facts.field("block.stroke"), facts.system)


def dynamic_compression_ratio(facts: Facts, subject: Subject) -> Value:
    """Compression ratio counted from the position of the piston when the intake valve closes."""
    return dynamic_ratio(facts, cylinder_parts(facts, subject))


def quench(facts: Facts, subject: Subject) -> Value:
    """Distance between piston and head at top dead centre, m: deck clearance plus gasket thickness."""
    sides = facts.field("block.deck_clearance", subject), facts.field("heads.gasket.thickness", subject)
    return derive("length", compression.quench, *sides)


def cylinder_parts(facts: Facts, subject: Subject) -> dict[str, Value]:
    """The parts of a cylinder's room above its piston; no ring land where none is written."""
    return {
        "chamber": facts.field("heads.chamber_volume", subject),
        "gasket_bore": facts.field("heads.gasket.bore"),
        "gasket_thickness": facts.field("heads.gasket.thickness"),
        "bore": facts.field("block.bore"),
        "deck": facts.field("block.deck_clearance", subject),
        "piston": facts.field("block.piston_volume", subject),
        "ring_land": facts.optional("block.ring_land_volume") or exact(0.0, "volume"),
    }


def static_ratio(parts: Parts, stroke: Value, system: str) -> Value:
    """Static compression ratio of a cylinder made of these parts; says whether the piston has a dish or a dome."""
    swept = derive("volume", compression.swept_volume, parts["bore"], stroke)
    return derive("ratio", compression.compression_ratio, swept, _above(parts), remark=_crown(parts["piston"], system))


def dynamic_ratio(facts: Facts, parts: Parts) -> Value:
    """Dynamic compression ratio of a cylinder made of these parts; Undecided without seat-to-seat durations."""
    stated_at = facts.optional("cam.duration_at")
    if stated_at is not None and stated_at.si >= SEAT_TO_SEAT:
        remark = "the durations are not seat to seat: enter those at about 0.006 in of lifter rise, and duration_at"
        raise Undecided(remark, stated_at.places)
    stroke, rod = facts.field("block.stroke"), facts.field("block.rod_length")
    swept = derive("volume", compression.swept_volume, parts["bore"], stroke)
    closes = facts.get("intake_closes")
    return derive("ratio", compression.dynamic_compression_ratio, swept, _above(parts), stroke, rod, closes)


def _above(parts: Parts) -> Value:
    names = list(parts)
    return derive(
        "volume",
        lambda *each: compression.clearance_volume(**dict(zip(names, each, strict=True))),
        *parts.values(),
    )


def _crown(piston: Value, system: str) -> str:
    shape = "dish" if piston.si > 0 else "dome"
    return f"piston with a {shape} of {show(abs(piston.si), 'volume', system)}" if piston.si else "flat piston"
