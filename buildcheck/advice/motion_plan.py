"""Where to read lift and drop for motion.yaml: enough crank angles around the overlap and the nose, and no more."""

from __future__ import annotations

from collections.abc import Iterator

from buildcheck.build.facts import Facts
from buildcheck.build.motion_readings import has_entry, motion_entries
from buildcheck.core.subject import VALVE_TYPES, Subject
from buildcheck.formulas.cam import CYCLE
from buildcheck.quantities.cam_events import card
from buildcheck.record import Record, replace
from buildcheck.yamlio.nodes import Node

STEP, OVERLAP, NOSE = 5, 30, 40
"""In which steps, how far around overlap TDC and how far around the nose the lift is read, deg of crank.

Common practice, no published source.
"""
DROP = 10
"""How far from overlap TDC the gap is usually least, deg of crank: after it for intake, before it for exhaust."""


class MotionStop(Record):
    """The readings of one valve: two stretches of crank angles read every 5 deg, and the angle of the drop, deg.

    ``already``: crank angles of lifts that were read before; ``drop_read``: a drop was read too.
    """

    subject: Subject
    overlap: tuple[float, float]
    nose: tuple[float, float]
    drop: float
    already: tuple[float, ...] = ()
    drop_read: bool = False

    @property
    def cranks(self) -> tuple[float, ...]:
        """Every crank angle to read, in the order in which the crank turns, 0 to 720 deg."""
        turned = {start + STEP * n for start, end in (self.overlap, self.nose) for n in range(_steps(start, end))}
        found = (angle % CYCLE for angle in sorted({*turned, self.drop}))
        return tuple(angle for angle in found if self.at(angle))

    def at(self, crank: float) -> tuple[str, ...]:
        """What is still to be read at a crank angle: ``lift``, ``drop``, both or nothing."""
        lift = () if crank in self.already else ("lift",)
        return (*lift, "drop") if crank == self.drop and not self.drop_read else lift


def _steps(start: float, end: float) -> int:
    return round((end - start) / STEP) + 1


def motion_stops(facts: Facts, without_file: bool = False) -> Iterator[MotionStop]:
    """The valves of cylinder 1 that motion.yaml still lacks; none if the build has no such file, unless asked to.

    Raises Undecided where cam.yaml does not give the centrelines.
    """
    if not without_file and "motion" not in facts.build.roots and "motion" not in facts.build.comment_only:
        return
    for valve in VALVE_TYPES:
        subject = Subject(1, valve)
        if not has_entry(facts, subject, "valve"):
            yield _stop(facts, subject)


def unfinished_stops(facts: Facts) -> Iterator[MotionStop]:
    """The same valves, and those of which the readings do not yet give centreline and gap; ``cranks`` not read yet."""
    if "motion" not in facts.build.roots and "motion" not in facts.build.comment_only:
        return
    for subject in (Subject(1, valve) for valve in VALVE_TYPES):
        if any(facts.get_or_none(name, subject) is None for name in ("measured_centreline", "piston_gap_least")):
            read = list(_read_at_valve(facts, subject))
            lifts = tuple(crank for crank, reading in read if reading.get("lift") is not None)
            drop_read = any(reading.get("drop") is not None for _, reading in read)
            stop = replace(_stop(facts, subject), already=lifts, drop_read=drop_read)
            if stop.cranks:
                yield stop


def _read_at_valve(facts: Facts, subject: Subject) -> Iterator[tuple[float, Node]]:
    for entry in motion_entries(facts, subject):
        if entry.word("at") == "valve":
            for reading in entry.entries["readings"].items:
                yield facts.reading(reading.entries["crank"], "angle").si, reading


def _stop(facts: Facts, subject: Subject) -> MotionStop:
    """Raises Undecided where cam.yaml does not give the centreline."""
    _, centreline, advance = card(facts, subject.valve or "")
    side = 1 if subject.valve == "intake" else -1
    tdc = facts.get("firing_tdc", Subject(subject.cylinder)).si + CYCLE / 2
    nose = tdc + side * round(centreline.si / 5) * 5 - round(advance.si / 5) * 5
    near, far = (tdc - OVERLAP, tdc + OVERLAP), (nose - NOSE, nose + NOSE)
    return MotionStop(subject, near, far, tdc + side * DROP)
