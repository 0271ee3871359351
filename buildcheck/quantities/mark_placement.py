"""Named quantities of where the mark lies: what its side says, and where it would lie at its narrowest."""

from __future__ import annotations

from buildcheck.build.facts import Facts
from buildcheck.build.trials import trials
from buildcheck.core.subject import Subject
from buildcheck.core.value import NotApplicable, Undecided, Value, derive, exact, with_uncertainty
from buildcheck.formulas import mark, rocker
from buildcheck.quantities.height_trials import READ_CONTACTS, reference_trial
from buildcheck.quantities.marks import direction, edges_of, mark_offset, offset_of, tip_diameter
from buildcheck.quantities.valvetrain import gross_lift


def mark_position(facts: Facts, subject: Subject) -> Value:
    """Distance of the mark centre from the tip centre, m.

    Its finding shows what this side means on this tip and mount.
    """
    offset = mark_offset(facts, subject)
    where = direction(offset.si)
    return offset.with_remark(f"{where}: {_supports(facts, offset.si > 0)}") if where else offset


def offset_at_narrowest(facts: Facts, subject: Subject) -> Value:
    """Distance of the mark centre from the tip centre with the pivot at its best height, m, under a roller."""
    if not facts.is_roller:
        raise NotApplicable("a pad tip has no narrowest mark: its mark is centred")
    lean, q, centre = (
        facts.optional("rockers.stud_lean") or exact(0.0, "angle"),
        facts.get("height_error", subject),
        offset_of(facts, subject, reference_trial(facts, subject)),
    )
    if lean.si and not q.sign_known:
        raise Undecided(READ_CONTACTS, q.places)
    edges, tip = edges_of(facts, subject, reference_trial(facts, subject)), tip_diameter(facts, subject)
    if mark.reaches_edge(edges[0].si, edges[1].si, tip.si):
        raise Undecided("the mark reaches the valve tip edge, so its centre cannot be determined", centre.places)
    arm, lift = facts.field("rockers.valve_arm"), gross_lift(facts, subject)
    found = derive("length", rocker.centre_at_narrowest, arm, lift, q._replace(parts={}), centre, lean)
    ends = [
        rocker.centre_at_narrowest(arm.si, lift.si, q.si + side * q.expanded, centre.si, lean.si) for side in (-1, 1)
    ]  # not by derive: near its narrowest the mark is drawn to the pivot by either sign alike, which would cancel out
    return with_uncertainty(found, max(abs(end - found.si) for end in ends), f"height of the pivot, {subject.text}")


def _supports(facts: Facts, is_far: bool) -> str:
    if not facts.pivot_is_free:
        return "on this mount the pushrod does not move it"
    length = "long" if is_far else "short"
    if not facts.is_roller:
        return f"the pushrod is too {length}"
    return "on a roller tip this does not show whether the pushrod is short or long"


def mark_across(facts: Facts, subject: Subject) -> Value:
    """Distance of the mark centre from the middle of the tip, along the crank, m.

    Positive: towards the front of the engine.
    """
    read = [trial for trial in trials(facts, subject) if trial.across is not None]
    if not read or read[-1].across is None:
        raise NotApplicable("where the mark lies sideways (across) is not entered")
    return read[-1].across
