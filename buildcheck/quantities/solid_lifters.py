"""Named quantities of solid lifters: the turns that the lash takes, and the sweep that it leaves."""

from __future__ import annotations

from buildcheck.build.facts import Facts
from buildcheck.core.subject import Subject
from buildcheck.core.value import NotApplicable, Value, derive
from buildcheck.formulas import rocker
from buildcheck.quantities.warm_engine import lash_at_assembly


def lash_turns(facts: Facts, subject: Subject) -> Value:
    """Turns by which the adjuster of the cold engine is backed off from zero lash to leave the stated lash."""
    _solid_only(facts)
    sides = lash_at_assembly(facts, subject), facts.field("rockers.ratio", subject)
    per_turn = facts.get("preload_per_turn", subject)
    return derive("ratio", lambda at_valve, r, turn: at_valve / (r * turn), *sides, per_turn, remark=sides[0].remark)


def mark_width_running(facts: Facts, subject: Subject) -> Value:
    """Width of the narrowest sweep of a roller while the engine runs, m: with the lash taken from the lift."""
    _solid_only(facts)
    if not facts.is_roller:
        raise NotApplicable("a pad tip has no narrowest mark: its mark is centred")
    return derive("length", rocker.mark_width_least, facts.field("rockers.valve_arm"), facts.get("valve_lift", subject))


def _solid_only(facts: Facts) -> None:
    if facts.is_hydraulic:
        raise NotApplicable("hydraulic lifters run without lash")
