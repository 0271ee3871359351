"""Where to read lift and drop for motion.yaml: enough crank angles around the overlap and the nose, and no more."""

from __future__ import annotations

from collections.abc import Iterator

from buildcheck.build.facts import Facts
from buildcheck.build.motion_readings import motion_entries
from buildcheck.core.subject import VALVE_TYPES, Subject
from buildcheck.core.value import Missing, NotApplicable, Undecided
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
    """The readings of one valve: two stretches of crank angles read every ``STEP``, and the angle of the drop, deg.

    ``already``: crank angles of lifts that were read before; ``drop_read``: a drop was read too.
    """

    subject: Subject
    overlap: tuple[float, float]
    nose: tuple[float, float]
    drop: float
    already: tuple[float, ...] = ()
    drop_read: bool = False

    @property
    def is_started(self) -> bool:
        """Whether motion.yaml has readings of the valve: the rest belongs to the same entry."""
        return bool(self.already) or self.drop_read

    @property
    def stretches(self) -> tuple[tuple[float, float], ...]:
        """The crank angles of the lifts still to be read, as first and last of each row of steps."""
        lifts = self.lifts
        firsts = [crank for n, crank in enumerate(lifts) if n == 0 or crank != lifts[n - 1] + STEP]
        lasts = [crank for n, crank in enumerate(lifts) if n == len(lifts) - 1 or lifts[n + 1] != crank + STEP]
        return tuple(zip(firsts, lasts, strict=True))

    @property
    def lifts(self) -> tuple[float, ...]:
        """The crank angles of the lifts still to be read."""
        return tuple(crank for crank in self.cranks if "lift" in self.at(crank))

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
    """The valves of cylinder 1 that motion.yaml still lacks, or of which the readings do not give nose and gap.

    None if the build has no such file, but for ``without_file``. Raises Undecided where cam.yaml does not give the
    centrelines.
    """
    if not without_file and "motion" not in facts.build.roots and "motion" not in facts.build.comment_only:
        return
    for subject in (Subject(1, valve) for valve in VALVE_TYPES):
        if not all(_is_known(facts, name, subject) for name in ("measured_centreline", "piston_gap_least")):
            read = list(_read_at_valve(facts, subject))
            lifts = tuple(crank for crank, reading in read if reading.get("lift") is not None)
            drop_read = any(reading.get("drop") is not None for _, reading in read)
            stop = replace(_stop(facts, subject), already=lifts, drop_read=drop_read)
            if stop.cranks:
                yield stop


def _is_known(facts: Facts, name: str, subject: Subject) -> bool:
    """Whether no further reading of motion is needed for a quantity; what other files lack does not count."""
    try:
        facts.get(name, subject)
    except Missing as lacking:
        return not lacking.missing.path.startswith("motion")
    except (NotApplicable, Undecided):
        return False
    return True


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
    nose = tdc + side * round(centreline.si / STEP) * STEP - round(advance.si / STEP) * STEP
    near, far = (tdc - OVERLAP, tdc + OVERLAP), (nose - NOSE, nose + NOSE)
    return MotionStop(subject, near, far, tdc + side * DROP)
