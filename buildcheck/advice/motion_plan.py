"""Where to read lift and drop for motion.yaml: enough crank angles around the overlap and the nose, and no more."""

from __future__ import annotations

from collections.abc import Iterator

from buildcheck.build.facts import Facts
from buildcheck.build.motion_readings import has_entry
from buildcheck.core.subject import VALVE_TYPES, Subject
from buildcheck.formulas.cam import CYCLE
from buildcheck.quantities.cam_events import card
from buildcheck.record import Record

OVERLAP, NOSE = 30, 40
"""How far around overlap TDC and nose the lift is read, deg of crank (common practice, no published source)."""
DROP = 10
"""How far from overlap TDC the gap is usually least, deg of crank: after it for intake, before it for exhaust."""


class MotionStop(Record):
    """The readings of one valve: two stretches of crank angles read every 5 deg, and the angle of the drop, deg."""

    subject: Subject
    overlap: tuple[float, float]
    nose: tuple[float, float]
    drop: float


def motion_stops(facts: Facts) -> Iterator[MotionStop]:
    """The valves of cylinder 1 that motion.yaml still lacks; none if the build has no such file."""
    if "motion" not in facts.build.roots and "motion" not in facts.build.comment_only:
        return
    for valve in VALVE_TYPES:
        subject = Subject(1, valve)
        if not has_entry(facts, subject, "valve"):
            yield _stop(facts, subject)


def _stop(facts: Facts, subject: Subject) -> MotionStop:
    """Raises Undecided where cam.yaml does not give the centreline."""
    _, centreline, advance = card(facts, subject.valve or "")
    side = 1 if subject.valve == "intake" else -1
    tdc = facts.get("firing_tdc", Subject(subject.cylinder)).si + CYCLE / 2
    nose = tdc + side * round(centreline.si / 5) * 5 - round(advance.si / 5) * 5
    near, far = (tdc - OVERLAP, tdc + OVERLAP), (nose - NOSE, nose + NOSE)
    return MotionStop(subject, near, far, tdc + side * DROP)
