"""Named quantities of lift, springs and pushrods: what opens, what binds, what buckles."""

from __future__ import annotations

from buildcheck.build.facts import Facts
from buildcheck.core.subject import Subject
from buildcheck.core.value import Undecided, Value, derive, exact, remarks
from buildcheck.formulas import buckling as columns
from buildcheck.formulas import springs
from buildcheck.quantities.measured_motion import lift_at_zero_lash

STEEL_MODULUS = 30e6 * 6894.757293168361


def gross_lift(facts: Facts, subject: Subject) -> Value:
    """Valve lift at zero lash, m: as read in motion.yaml, else in clearances.yaml, else lobe lift × rocker ratio."""
    return facts.once(("gross lift", facts.widest(subject)), _gross_lift, facts, subject)


def _gross_lift(facts: Facts, subject: Subject) -> Value:
    read = lift_at_zero_lash(facts, subject)
    if read is not None:
        return read
    measured = facts.optional("clearances.{valve}.valve_lift", subject)
    if measured is not None:
        return measured
    lobe, ratio = facts.field("cam.{valve}.lobe_lift", subject), facts.field("rockers.ratio", subject)
    return derive("length", lambda a, b: a * b, lobe, ratio)


def valve_lift(facts: Facts, subject: Subject) -> Value:
    """Valve lift while the engine runs, m.

    For a solid lifter its lash is taken off, even if the lift was measured at zero lash.
    """
    lift = gross_lift(facts, subject)
    if facts.is_hydraulic:
        return lift
    return derive("length", lambda a, b: a - b, lift, facts.field("cam.{valve}.lash", subject))


def coil_bind_clearance(facts: Facts, subject: Subject) -> Value:
    """Distance that the spring could still be compressed at full lift before its coils touch, m."""
    spring = [
        facts.field(f"heads.springs.{{valve}}.{key}", subject) for key in ("installed_height", "coil_bind_height")
    ]
    room = derive("length", springs.coil_bind_clearance, spring[0], facts.get("valve_lift", subject), spring[1])
    bound = "below zero: the coils bind before full lift"
    return room if room.si >= 0 else room._replace(remark=remarks(room.remark, bound))


def retainer_to_seal_clearance(facts: Facts, subject: Subject) -> Value:
    """Distance between spring retainer and valve seal at full lift, m; without a seal, to the top of the guide."""
    shut = facts.field("clearances.{valve}.retainer_to_seal", subject)
    guide = "to the top of the guide, no seal is fitted" if has_no_seal(facts, subject) else ""
    lift = facts.get("valve_lift", subject)
    return derive("length", springs.retainer_to_seal, shut, lift, remark=remarks(lift.remark, guide))


def has_no_seal(facts: Facts, subject: Subject) -> bool:
    """Whether the valves of a type have no stem seals, as it is entered."""
    seal = facts.node("heads.valves.{valve}.seal", subject)
    return seal is not None and seal.value == "none"


def spring_force_open(facts: Facts, subject: Subject) -> Value:
    """Spring force at full lift, N."""
    seat, rate, lift = (facts.get(name, subject) for name in ("seat_force", "spring_rate", "valve_lift"))
    return derive("force", springs.force_open, seat, rate, lift)


def pushrod_load(facts: Facts, subject: Subject) -> Value:
    """Static load on the pushrod at full lift, N: open spring force times rocker ratio."""
    force, ratio = facts.get("spring_force_open", subject), facts.field("rockers.ratio", subject)
    return derive("force", columns.pushrod_load, force, ratio)


def pushrod_buckling_factor(facts: Facts, subject: Subject) -> Value:
    """Buckling load of the pushrod over its static load, with pinned ends and its overall length."""
    diameter, wall = facts.field("pushrods.diameter"), facts.field("pushrods.wall")
    length, load = facts.get("rod_length_overall", subject), facts.get("pushrod_load", subject)
    strength = facts.optional("pushrods.yield_strength")
    if strength is None:
        raise Undecided("yield_strength is missing in pushrods.yaml: get it from the maker", diameter.places)
    modulus = facts.optional("pushrods.elastic_modulus") or _modulus(facts)
    slender = columns.slenderness(diameter.si, wall.si, length.si)
    law = "Euler" if slender >= columns.slenderness_limit(modulus.si, strength.si) else "Johnson"
    return derive(
        "ratio",
        lambda d, w, length, e, s, f: columns.buckling_factor(columns.critical_load(d, w, length, e, s), f),
        diameter, wall, length, modulus, strength, load,
        remark=remarks(load.remark, f"{law}, static load only"),
    )  # fmt: skip


def _modulus(facts: Facts) -> Value:
    material = facts.text("pushrods.material")
    if "steel" not in material:
        raise Undecided(f"the elastic_modulus of {material} is missing in pushrods.yaml")
    return exact(STEEL_MODULUS, "pressure")
