"""How far the pushrod must follow a change of pivot height, whatever its inclination."""

from __future__ import annotations

from buildcheck.build.facts import Facts
from buildcheck.core.subject import Subject
from buildcheck.core.value import Value, derive, exact, with_uncertainty
from buildcheck.formulas import linkage

INCLINATION_SHARE = 0.05
"""Expanded share by which an unknown pushrod inclination can shift the length for a height (ordinary case)."""


INCLINATION_UNTOLD = "pushrod inclination not entered: a turn may change the preload by 5 % more or less"


def length_per_height(facts: Facts, subject: Subject) -> Value:
    """Pushrod length for each unit of pivot height: 1 + 1/R, or exact with lean and inclination given."""
    return facts.once(("length per height", facts.widest(subject)), _per_height, facts, subject)


def _per_height(facts: Facts, subject: Subject) -> Value:
    return inclined(facts, derive("ratio", linkage.length_per_height, *slants(facts, subject)))


def slants(facts: Facts, subject: Subject) -> tuple[Value, Value, Value]:
    """Rocker ratio, stud lean and pushrod inclination, upright where not written."""
    upright = exact(0.0, "angle")
    lean, inclination = facts.optional("rockers.stud_lean"), facts.optional("pushrods.inclination")
    return facts.field("rockers.ratio", subject), lean or upright, inclination or upright


def inclined(facts: Facts, value: Value) -> Value:
    """The same value, less sure where the pushrod's inclination is not written."""
    unknown = 0.0 if facts.node("pushrods.inclination") is not None else INCLINATION_SHARE * abs(value.si)
    return with_uncertainty(value, unknown, "pushrod inclination not given")
