"""Lift curves that moved between two states, each drawn before and after, with full lift and centreline."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from buildcheck.app.build_check import CheckedBuild
from buildcheck.build.carried_motion import Curve, curve
from buildcheck.build.facts import Facts
from buildcheck.build.motion_readings import has_entry
from buildcheck.core.subject import Subject
from buildcheck.core.value import Value
from buildcheck.formulas.lift_curve import lift_at
from buildcheck.output.compare.aligned_values import moved, read_in_both
from buildcheck.output.compare.curve_digits import drawn
from buildcheck.quantities.measured_motion import nose_read_at
from buildcheck.record import Record
from buildcheck.units.quantity import show

FULL = {"valve": "measured_lift", "lifter": "measured_lifter_lift"}
STEP = 2.0
"""The curve is drawn from its lift at so many degrees of crank."""


class Lift(Record):
    """A lift curve with its full lift (m) and its centreline (deg), None where the readings do not give it."""

    read: Curve
    full: Value | None
    centreline: Value | None

    def points(self) -> list[tuple[float, float]]:
        """The curve between its first and last reading, every STEP degrees."""
        angles, lifts = self.read.numbers
        count = int((angles[-1] - angles[0]) / STEP)
        inside = [angles[0] + STEP * step for step in range(count + 1)]
        return [*((angle, lift_at(angle, angles, lifts)) for angle in inside), (angles[-1], lifts[-1])]


class MovedLift(Record):
    """The lift curve of one valve or lifter (``at``) before and after."""

    subject: Subject
    at: str
    before: Lift
    after: Lift
    system: str

    @property
    def text(self) -> str:
        """``cylinder 1 intake: full valve lift 0.4445 in → 0.4300 in; lobe centreline 106.4 deg → 102.4 deg``."""
        pairs = (
            (f"full {self.at} lift", self.before.full, self.after.full),
            ("lobe centreline", self.before.centreline, self.after.centreline),
        )
        known = [(name, was, now) for name, was, now in pairs if was is not None and now is not None]
        return f"{self.subject.text}: {'; '.join(self._step(*one) for one in known)}"

    def drawing(self) -> str:
        """Two lines of digits over the crank angles of both curves."""
        rows = [("before", self.before.points()), ("after", self.after.points())]
        ends = min(points[0][0] for _, points in rows), max(points[-1][0] for _, points in rows)
        lines, most = drawn(rows, ends)
        scale = f"{ends[0]:.0f} to {ends[1]:.0f} deg after overlap TDC; 9: {show(most, 'length', self.system)}"
        return "\n".join([*lines, scale])

    def _step(self, name: str, was: Value, now: Value) -> str:
        return f"{name} {' → '.join(show(one.si, one.kind, self.system) for one in (was, now))}"


def moved_lifts(before: CheckedBuild | None, after: CheckedBuild | None) -> Iterator[MovedLift]:
    """Every lift curve in both states of which full lift or centreline moved by more than both uncertainties."""
    for at in FULL:
        for facts, subject, was, now in read_in_both(before, after, partial(_lift, at)):
            pairs = ((was.full, now.full), (was.centreline, now.centreline))
            if any(moved(one, other) for one, other in pairs if one is not None and other is not None):
                yield MovedLift(subject, at, was, now, facts.system)


def _lift(at: str, facts: Facts, subject: Subject) -> Lift | None:
    if not has_entry(facts, subject, at):
        return None
    is_nose = at == nose_read_at(facts, subject)
    centreline = facts.get_or_none("measured_centreline", subject) if is_nose else None
    read = curve(facts, subject, at)
    return Lift(read, facts.get_or_none(FULL[at], subject), centreline) if read.lifts else None
