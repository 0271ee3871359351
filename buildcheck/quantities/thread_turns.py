"""Named quantities of turns: what a turn of nut, bolt or screw takes of the preload."""

from __future__ import annotations

from buildcheck.build.facts import Facts
from buildcheck.build.zero_lash_readings import counted
from buildcheck.core.subject import Subject
from buildcheck.core.value import NotApplicable, Value, derive, remarks
from buildcheck.formulas import linkage
from buildcheck.quantities.pushrod_inclination import INCLINATION_UNTOLD, inclined, slants


def preload_per_turn(facts: Facts, subject: Subject) -> Value:
    """Distance that one turn of the adjuster past zero lash presses the plunger, m.

    A nut lowers the pivot; a screw moves the pushrod.
    """
    adjuster = facts.text("rockers.adjuster")
    if adjuster == "none":
        raise NotApplicable("there is no adjuster")
    pitch = facts.pitch("rockers.adjuster_thread")
    return _pulled_down(facts, subject, pitch) if adjuster == "nut" else pitch


def preload_by_bolt(facts: Facts, subject: Subject) -> Value:
    """Preload from the bolt of a pedestal, m: its turns from zero lash to seated, times what each turn presses."""
    turns = facts.optional("rockers.bolt_turns")
    if turns is None or not facts.is_hydraulic:
        raise NotApplicable("no bolt_turns are entered" if turns is None else "solid lifters have lash, not preload")
    turns = counted(turns, "turns of the bolt")
    per_turn = _pulled_down(facts, subject, facts.pitch(holding_thread(facts)))
    remark = remarks(f"{turns.si:g} turns of the bolt", per_turn.remark)
    return derive("length", lambda n, each: n * each, turns, per_turn, remark=remark)


def holding_thread(facts: Facts) -> str:
    """The field that names the thread of the nut or bolt that holds the rocker; an adjusting screw holds nothing."""
    return "rockers.bolt_thread" if facts.text("rockers.adjuster") == "screw" else "rockers.adjuster_thread"


def _pulled_down(facts: Facts, subject: Subject, pitch: Value) -> Value:
    """Plunger travel for one turn that lowers the pivot, m."""
    upright = "" if facts.node("pushrods.inclination") is not None else INCLINATION_UNTOLD
    return inclined(facts, derive("length", linkage.preload_per_turn, pitch, *slants(facts, subject), remark=upright))
