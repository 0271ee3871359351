"""Where the mark will lie on a valve tip at another height of the pivot, predicted from the one that was read."""

from __future__ import annotations

from collections.abc import Callable
from math import radians, tan

from buildcheck.build.facts import Facts
from buildcheck.core.subject import Subject
from buildcheck.core.value import Value, derive, exact
from buildcheck.formulas import rocker
from buildcheck.quantities import height_trials, marks, valvetrain
from buildcheck.record import Record


class PredictedMark(Record):
    """A valve's mark for any height error q: distances in m, ``ink`` what the mark is wider than its sweep.

    ``offset`` is the pivot's distance from the valve's axis at the height error ``here`` of the mark that was
    read; on a stud leaning towards the valve it shrinks by ``lean`` for each unit that the pivot rises.
    """

    arm: float
    lift: float
    tip: float
    ink: float
    offset: float
    read_at: float
    stud_lean: float

    def centre_and_edges(self, q: float) -> tuple[float, float, float]:
        """The mark's centre from the tip's, positive away from the pivot, and its edges as ``edges`` gives them."""
        nearest, farthest = rocker.swept(self.arm, self.lift, q + self.lift / 2)
        pivot_offset = self.offset - (self.read_at - q) * self.stud_lean
        centre, width = (nearest + farthest) / 2 - pivot_offset, farthest - nearest + self.ink
        middle = centre + self.tip / 2
        return centre, middle - width / 2, middle + width / 2

    def edges(self, q: float) -> tuple[float, float]:
        """The mark's edges from the pivot-side edge of the tip, not cut where the tip ends."""
        return self.centre_and_edges(q)[1:]


def predict_mark(facts: Facts, subject: Subject, q: float) -> PredictedMark:
    """The prediction from the mark of the trial spoken of, its height error taken to be q (pad: pad_tip_height_error).

    Raises NotApplicable or Undecided without a mark, Contradiction where the arm cannot reach so far.
    """
    edges = marks.edges_of(facts, subject, height_trials.reference_trial(facts, subject))
    arm_and_lift = facts.field("rockers.valve_arm"), valvetrain.gross_lift(facts, subject)
    arm, lift = (value.si for value in arm_and_lift)
    tip, band = marks.tip_diameter(facts, subject).si, facts.optional("marks.contact_band")
    near, far = edges[0].si, edges[1].si
    swept, ran_off = _nominal(rocker.width_at, *arm_and_lift, exact(q, "length")), near <= 0 or far >= tip
    ink = (band.si if band is not None else 0.0) if ran_off else max(far - near - swept, 0.0)
    centre = _centre(near, far, tip, swept + ink)
    offset = rocker.pivot_offset_from_centre(arm, lift, q, centre)
    return PredictedMark(arm, lift, tip, ink, offset, q, stud_lean(facts))


def stud_lean(facts: Facts) -> float:
    """How far the pivot comes nearer to the valve's axis for each unit that it rises."""
    lean = facts.optional("rockers.stud_lean")
    return tan(radians(lean.si)) if lean is not None else 0.0


def pad_tip_height_error(facts: Facts, subject: Subject) -> float:
    """How far a pad's curve is centred above the height of the narrowest mark, m: from the mark's width.

    Raises Undecided without a width, Contradiction where this rocker cannot sweep it.
    """
    arm, lift = facts.field("rockers.valve_arm"), valvetrain.gross_lift(facts, subject)
    width = marks.width_of(facts, subject, height_trials.reference_trial(facts, subject))
    return _nominal(rocker.height_error_from_width, arm, lift, width)


def _nominal(formula: Callable[..., float], *inputs: Value) -> float:
    """A formula of the values themselves, without their uncertainty; Contradiction where it refuses them."""
    return derive("length", formula, *(value._replace(parts={}) for value in inputs)).si


def _centre(near: float, far: float, tip: float, width: float) -> float:
    """Of the whole mark: where one edge ran off the tip, computed from the other."""
    if near <= 0 and far < tip:
        return far - width / 2 - tip / 2
    if far >= tip and near > 0:
        return near + width / 2 - tip / 2
    return (near + far) / 2 - tip / 2
