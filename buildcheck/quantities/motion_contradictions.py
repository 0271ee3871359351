"""Readings of motion.yaml that contradict single readings in clearances.yaml beyond both uncertainties."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from math import hypot

from buildcheck.build.facts import Facts
from buildcheck.build.motion_readings import has_entry
from buildcheck.core.subject import Subject
from buildcheck.core.value import Value
from buildcheck.formulas.decision import noise
from buildcheck.quantities.implausible_readings import Finding, places_of
from buildcheck.quantities.measured_motion import lift_at_zero_lash
from buildcheck.units.quantity import show

GAP, LIFT = "clearances.{valve}.piston_to_valve", "clearances.{valve}.valve_lift"


def single_gaps(facts: Facts) -> Iterator[Finding]:
    """A single gap between valve and piston beside the least one of the curve.

    The one of a valve type is the least of all its valves, so it may be smaller than the curve of one of them.
    """
    for subject in _read(facts):
        curve, single = facts.get_or_none("piston_gap_least", subject), facts.optional(GAP, subject)
        if curve is None or single is None:
            continue
        if _apart(curve, single) and (single.si > curve.si or not _of_type(facts, subject, single)):
            basis = f"lift and drop of {subject.text}"
            yield _finding(facts, GAP.replace("{valve}", subject.valve or ""), curve, single, basis)


def single_lifts(facts: Facts) -> Iterator[Finding]:
    """A single valve lift beside the full lift of the curve, both at zero lash."""
    for subject in _read(facts):
        curve, single = lift_at_zero_lash(facts, subject), facts.optional(LIFT, subject)
        if curve is not None and single is not None and _apart(curve, single):
            basis = f"the lift curve of {subject.text}"
            yield _finding(facts, LIFT.replace("{valve}", subject.valve or ""), curve, single, basis)


def _read(facts: Facts) -> Iterator[Subject]:
    if facts.node("motion.valves") is not None:
        yield from (one for one in facts.subjects("valve") if has_entry(facts, one, "valve"))


def _of_type(facts: Facts, subject: Subject, single: Value) -> bool:
    """Whether the reading is that of the valve type, and not of this valve."""
    usual = facts.optional(GAP, Subject(None, subject.valve))
    return usual is not None and usual.places == single.places


def _apart(curve: Value, single: Value) -> bool:
    return abs(curve.si - single.si) > hypot(curve.expanded, single.expanded) + noise(curve.si, single.si)


def _finding(facts: Facts, name: str, curve: Value, single: Value, basis: str) -> Finding:
    expected, found = (show(one.si, "length", facts.system) for one in (curve, single))
    return places_of(single, curve), f"{name}, expected {expected} from {basis}, found {found}"


CHECKS: tuple[Callable[[Facts], Iterator[Finding]], ...] = (single_gaps, single_lifts)
