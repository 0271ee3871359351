"""Named quantities of the valve springs: rate, seat force, what they have lost, and whether their figures agree."""

from __future__ import annotations

from buildcheck.build.facts import Facts
from buildcheck.build.length_conventions import minus
from buildcheck.core.subject import Subject
from buildcheck.core.value import NotApplicable, Undecided, Value, derive
from buildcheck.formulas import springs

SPRING = "heads.springs.{valve}"


def spring_rate(facts: Facts, subject: Subject) -> Value:
    """Rise of the spring force for each unit of compression, N/m: as entered, or from its loads at two heights."""
    written = facts.optional(f"{SPRING}.rate", subject)
    if written is not None:
        return written
    if facts.node(f"{SPRING}.other_load", subject) is None:
        raise facts.missing(f"{SPRING}.rate", subject)
    return _rate_from_loads(facts, subject)


def spring_rate_misfit(facts: Facts, subject: Subject) -> Value:
    """Entered rate less the rate from the two loads of the spring, as a share of the latter."""
    written = facts.optional(f"{SPRING}.rate", subject)
    if written is None or facts.node(f"{SPRING}.other_load", subject) is None:
        raise NotApplicable("rate and both loads of the spring are not all entered")
    return derive("ratio", lambda rate, loads: rate / loads - 1, written, _rate_from_loads(facts, subject))


def seat_force(facts: Facts, subject: Subject) -> Value:
    """Spring force with the valve closed, N: as entered, corrected if the installed height of this valve differs."""
    written = facts.field(f"{SPRING}.seat_force", subject)
    height = facts.optional(f"{SPRING}.installed_height", subject)
    usual = facts.optional(f"{SPRING}.installed_height", Subject(None, subject.valve))
    if height is None or usual is None or height.places == usual.places:
        return written
    rate, pressed = spring_rate(facts, subject), minus(usual, height)
    return derive("force", springs.force_open, written, rate, pressed)


def seat_force_least(facts: Facts, subject: Subject) -> Value:
    """Smallest spring force with the valve closed that the cam card states, N."""
    return _required(facts, subject, "seat_force.at_least")


def seat_force_most(facts: Facts, subject: Subject) -> Value:
    """Largest spring force with the valve closed that the cam card allows, N."""
    return _required(facts, subject, "seat_force.at_most")


def open_force_most(facts: Facts, subject: Subject) -> Value:
    """Largest spring force at full lift that the cam card allows, N."""
    return _required(facts, subject, "open_force.at_most")


def spring_load_loss(facts: Facts, subject: Subject) -> Value:
    """Share of its load that a spring has lost since it was new, at the same height."""
    new = facts.optional(f"{SPRING}.force_when_new", subject)
    if new is None:
        raise NotApplicable("force_when_new is not given, so the loss of the springs is unknown")
    return derive("ratio", springs.load_loss, new, facts.field(f"{SPRING}.seat_force", subject))


def solid_height_misfit(facts: Facts, subject: Subject) -> Value:
    """Measured coil-bind height less the one calculated from wire, coils and ends, m."""
    wire, coils = (facts.optional(f"{SPRING}.{key}", subject) for key in ("wire", "coils"))
    if wire is None or coils is None:
        raise NotApplicable("wire and coils are not given: the solid height cannot be compared")
    if facts.node(f"{SPRING}.ends", subject) is None:
        raise Undecided("enter the spring ends: they change the solid height by up to two coils", wire.places)
    ends = facts.text(f"{SPRING}.ends", subject)
    measured = facts.field(f"{SPRING}.coil_bind_height", subject)
    return derive("length", lambda h, d, n: h - springs.solid_height(d, n, ends), measured, wire, coils)


def _rate_from_loads(facts: Facts, subject: Subject) -> Value:
    usual = Subject(None, subject.valve)
    first = (facts.field(f"{SPRING}.{key}", usual) for key in ("seat_force", "installed_height"))
    other = (facts.field(f"{SPRING}.other_load.{key}", subject) for key in ("force", "height"))
    return derive("rate", springs.rate_from_two_loads, *first, *other)


def _required(facts: Facts, subject: Subject, what: str) -> Value:
    card = facts.optional(f"cam.{{valve}}.{what}", subject)
    if card is None:
        raise NotApplicable(f"the cam card gives no {what.split('.')[0]} for the spring")
    return card
