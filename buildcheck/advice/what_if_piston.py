"""What a supposed change does between valve and piston: to the static reading, and to the curve of motion.yaml."""

from __future__ import annotations

from collections.abc import Container, Iterator

from buildcheck.advice.assumptions import Assumption, assume, supposed
from buildcheck.advice.what_if_effects import Effect
from buildcheck.build.facts import Facts
from buildcheck.build.length_conventions import ZERO, minus, plus
from buildcheck.build.supposed_build import supposing
from buildcheck.core.subject import Subject
from buildcheck.core.value import Value, derive
from buildcheck.formulas.decision import noise
from buildcheck.formulas.piston_motion import along_valve
from buildcheck.quantities.piston_gap import GapCurve, gap_curve
from buildcheck.record import Record
from buildcheck.rules.judging import decision
from buildcheck.units.quantity import show

GAP = "piston_gap_least"
VALVE_ANGLE = "heads.valves.{valve}.angle"
MOVED = 4.0
"""By how much the cam is moved in the picture of a gap, deg of crank (common practice, no published source)."""
STATIC = "a single reading does not show what the cam timing does: read lift and one drop into motion.yaml"


def on_piston_gap(facts: Facts, then: Facts, valve: Subject) -> Iterator[Effect]:
    """The least gap between a valve and its piston over the lift curve, with how the limit decides it.

    Raises Undecided if it would not be known, NotApplicable if no drop was read.
    """
    now, after = facts.get(GAP, valve), then.get(GAP, valve)
    if abs(now.si - after.si) > noise(now.si, after.si):
        limit = then.get("piston_gap_limit", valve)
        kind, _ = decision(after, {"at_least": limit})
        verdict = {"pass": "passes", "fail": "fails", "open": "undecided against"}[kind if after.si > 0 else "fail"]
        remark = f"{after.remark}; {verdict} the minimum of {show(limit.si, 'length', facts.system)}"
        yield Effect(facts.quantities[GAP].title, valve, now, after, remark)


class MovedCam(Record):
    """The gap curve if the cam were moved: ``ahead`` in degrees of crank, behind it negative."""

    ahead: float
    curve: GapCurve


def moved_cam(facts: Facts, valve: Subject) -> MovedCam:
    """The gap curve of one valve with the cam moved the way that brings the valve nearer to the piston.

    Raises Undecided if it would not be known, NotApplicable if no drop was read, UsageError for an implausible advance.
    """
    present = facts.optional("cam.advance")
    ahead = MOVED if valve.valve == "intake" else -MOVED
    text = f"cam_advance={(present.si if present is not None else 0.0) + ahead:g} deg"
    then = supposing(facts, supposed(facts, (assume(facts, text),)))
    return MovedCam(ahead, gap_curve(then, valve))


def on_piston(facts: Facts, subject: Subject, assumed: tuple[Assumption, ...]) -> Iterator[Effect]:
    """The static reading between valve and piston, less what block, head and gasket take away."""
    nearer = cut_between(assumed)
    if nearer.si:
        now, slant = facts.field("clearances.{valve}.piston_to_valve", subject), facts.optional(VALVE_ANGLE, subject)
        if slant is None:
            remark = "measure it again; a valve at an angle to the bore loses more and gains less"
            yield Effect("Piston to valve", subject, now, minus(now, nearer), remark)
            return
        then = derive("length", lambda gap, by, angle: gap + along_valve(-by, angle), now, nearer, slant)
        yield Effect("Piston to valve", subject, now, then, "measure it again")


def cut_between(assumed: tuple[Assumption, ...]) -> Value:
    """How much nearer the head comes to the piston, m."""
    signs = {"block_milled": 1.0, "head_milled": 1.0, "gasket_thickness": -1.0}
    total = ZERO
    for one in assumed:
        if (sign := signs.get(one.name)) and one.change is not None:
            total = plus(total, derive("length", lambda change, s=sign: s * change, one.change))
    return total


def unknown_timing(facts: Facts, names: Container[str]) -> dict[str, str]:
    """What a static reading cannot show if the cam is moved; nothing for a valve type that has a gap curve."""
    if "cam_advance" not in names and "lash" not in names:
        return {}
    read = {valve.valve for valve in facts.subjects("valve") if facts.get_or_none(GAP, valve) is not None}
    static = [one for one in facts.subjects("valve_type") if one.valve not in read and _is_read(facts, one)]
    return {" and ".join(one.text for one in static) + " piston to valve": STATIC} if static else {}


def _is_read(facts: Facts, subject: Subject) -> bool:
    return facts.optional("clearances.{valve}.piston_to_valve", subject) is not None
