"""Readings of motion that do not fit those beside them: typing errors, as a rule.

The figures are common practice, no published source.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from itertools import pairwise
from math import hypot

from buildcheck.build.facts import Facts
from buildcheck.build.motion_readings import WHEEL, Reading, has_entry, motion_entry, reading_faults
from buildcheck.core.subject import Subject
from buildcheck.core.value import Undecided, Value
from buildcheck.formulas.cam import CYCLE
from buildcheck.formulas.lift_curve import lift_of_neighbours
from buildcheck.quantities.implausible_readings import Finding
from buildcheck.units.quantity import show

FEWEST = 5
"""Readings of a curve below which its neighbours do not show what a reading should be."""
ORDERS, BEYOND = 5.0, 2.0
"""A departure counts beyond twice its U and ten times the difference of two orders of interpolation.

Of 3000 simulated good curves with steps of 5 to 20 deg, with and without ramps and lash, two have one.
"""
WIDEST_STEP, USUAL_STEP = 150.0, 30.0
"""A lift curve is read in steps of up to 30 deg; one step of more than 150 deg is a typing error (deg of crank)."""


def uneven_lifts(facts: Facts) -> Iterator[Finding]:
    """A lift that departs from the smooth curve of the readings beside it; of one curve the one that departs most."""
    for subject, at, lifts in _curves(facts):
        departures = [departure(lifts, i) for i in range(len(lifts))]
        share, i, low, high = max(departures)
        lift = lifts[i].lift
        if share > 1 and lift is not None:
            ends = " to ".join(show(end, "length", facts.system, 1) for end in (low, high))
            found = show(lift.si, "length", facts.system, 1)
            where = f"lift at the {at} of {subject.text}, reading {i + 1}"
            yield lift.places, f"{where}, expected {ends} from the readings beside it, found {found}"


def departure(readings: Sequence[Reading], i: int) -> tuple[float, int, float, float]:
    """How far a lift departs as a share of what is allowed, its index, and which lifts its neighbours support, m."""
    angles, lifts = [one.angle.si for one in readings], [_lift(one) for one in readings]
    estimate, orders, weights = lift_of_neighbours(i, angles, [one.si for one in lifts])
    steep = _steepest(angles, [one.si for one in lifts], i)
    doubts = [weight * hypot(one.expanded, steep * WHEEL) for weight, one in zip(weights, lifts, strict=True)]
    allowed = BEYOND * (ORDERS * orders + hypot(*doubts, lifts[i].expanded, steep * WHEEL))
    middle = max(estimate, 0.0)
    return abs(lifts[i].si - middle) / allowed, i, max(middle - allowed, 0.0), middle + allowed


def _steepest(angles: Sequence[float], lifts: Sequence[float], i: int) -> float:
    """The steepest rise or fall (m/deg) between the readings beside one, without that reading itself."""
    beside = [at for at in range(max(0, i - 2), min(len(lifts), i + 3)) if at != i]
    return max(abs((lifts[b] - lifts[a]) / (angles[b] - angles[a])) for a, b in pairwise(beside))


def _lift(reading: Reading) -> Value:
    assert reading.lift is not None
    return reading.lift


def wide_steps(facts: Facts) -> Iterator[Finding]:
    """A step between two crank angles that is far wider than all others of its curve."""
    for subject, at, readings in _curves(facts):
        steps = [after.angle.si - before.angle.si for before, after in pairwise(readings)]
        widest = max(steps)
        if WIDEST_STEP < widest < CYCLE and sorted(steps)[-2] <= USUAL_STEP:
            i = steps.index(widest)
            places = tuple(dict.fromkeys((*_lift(readings[i]).places, *_lift(readings[i + 1]).places)))
            yield (
                places,
                f"crank angles at the {at} of {subject.text}, expected steps of at most {USUAL_STEP:.0f} deg as in its "
                f"other readings, found {widest:.0f} deg between readings {i + 1} and {i + 2}",
            )


def _curves(facts: Facts) -> Iterator[tuple[Subject, str, list[Reading]]]:
    """The readings of lift in order, of each valve and lifter that was read without another fault."""
    if facts.node("motion.valves") is None:
        return
    for subject in facts.subjects("valve"):
        for at in ("valve", "lifter"):
            try:
                if not has_entry(facts, subject, at) or reading_faults(facts, subject, at):
                    continue
                lifts = motion_entry(facts, subject, at).lifts
            except Undecided:
                continue
            if len(lifts) >= FEWEST:
                yield subject, at, lifts


CHECKS: tuple[Callable[[Facts], Iterator[Finding]], ...] = (uneven_lifts, wide_steps)
