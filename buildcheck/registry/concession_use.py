"""Named quantities of what a team has decided: concessions."""

from __future__ import annotations

from buildcheck.build.facts import Facts
from buildcheck.core.concession import IdleConcession
from buildcheck.core.subject import Subject
from buildcheck.core.value import NotApplicable, Value


def idle_concessions(facts: Facts, subject: Subject) -> Value:
    """Number of concessions that cover nothing. It is known once the rules that they name are judged."""
    if facts.node("concessions") is None:
        raise NotApplicable("there is no concessions.yaml")
    idle: tuple[IdleConcession, ...] = facts.once("idle_concessions", tuple)
    places = tuple(one.place for one in idle)
    return Value(float(len(idle)), "count", {}, places, "; ".join(f"{one.text}: {one.reason}" for one in idle))
