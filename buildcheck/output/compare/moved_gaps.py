"""Gap curves between valve and piston that moved between two states, each drawn before and after."""

from __future__ import annotations

from collections.abc import Iterator

from buildcheck.app.build_check import CheckedBuild
from buildcheck.build.facts import Facts
from buildcheck.build.motion_readings import has_entry
from buildcheck.core.subject import Subject
from buildcheck.output.compare.aligned_values import moved, read_in_both
from buildcheck.output.compare.curve_digits import drawn
from buildcheck.quantities.piston_gap import GapCurve, gap_curve, overlap_text
from buildcheck.record import Record
from buildcheck.units.quantity import show

_REACH = 30.0
"""How far around overlap TDC the curve is drawn, deg of crank."""


class MovedGap(Record):
    """The gap curve of one valve before and after."""

    subject: Subject
    before: GapCurve
    after: GapCurve
    system: str

    @property
    def text(self) -> str:
        """``cylinder 1 intake: least piston gap 0.139 in at 4 deg after TDC → 0.126 in at 5 deg after TDC``."""
        return f"{self.subject.text}: least piston gap {self._least(self.before)} → {self._least(self.after)}"

    def drawing(self) -> str:
        """Two lines of digits from 30 deg before TDC to 30 deg after it: 0 is contact, 9 the widest gap drawn."""
        rows = [("before", self.before.points), ("after", self.after.points)]
        lines, most = drawn(rows, (-_REACH, _REACH))
        scale = f"30 deg before to 30 deg after TDC; 0: contact, 9: {show(most, 'length', self.system)}"
        return "\n".join([*lines, scale])

    def _least(self, one: GapCurve) -> str:
        return f"{show(one.least.si, 'length', self.system)} at {overlap_text(one.at.si)}"


def moved_gaps(before: CheckedBuild | None, after: CheckedBuild | None) -> Iterator[MovedGap]:
    """Every valve with a gap curve in both states of which the least gap moved by more than both uncertainties."""
    for facts, subject, was, now in read_in_both(before, after, _curve):
        if moved(was.least, now.least):
            yield MovedGap(subject, was, now, facts.system)


def _curve(facts: Facts, subject: Subject) -> GapCurve | None:
    return gap_curve(facts, subject) if has_entry(facts, subject, "valve") else None
