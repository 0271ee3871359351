"""The mark to expect on the engine as it is now, from one read before its parts changed."""

from __future__ import annotations

from functools import partial

from buildcheck.build.facts import Facts
from buildcheck.build.trial import Trial
from buildcheck.build.trials import trials
from buildcheck.core.subject import Subject
from buildcheck.core.value import NotApplicable, Undecided, Value, derive, exact
from buildcheck.formulas.carried_reading import pivot_offset_from_mark, predicted_mark
from buildcheck.formulas.rocker import height_error_from_width
from buildcheck.quantities.marks import tip_diameter
from buildcheck.quantities.pivot_height import signed_height_error
from buildcheck.quantities.valvetrain import gross_lift

NO_MARK = "no mark was read before the parts changed: take a new mark"


def predicted_mark_near(facts: Facts, subject: Subject) -> Value:
    """Near edge of the mark to expect now, m from the pivot-side edge of the tip."""
    return _edge(facts, subject, 0)


def predicted_mark_far(facts: Facts, subject: Subject) -> Value:
    """Far edge of the mark to expect now, m from the pivot-side edge of the tip."""
    return _edge(facts, subject, 1)


def _edge(facts: Facts, subject: Subject, side: int) -> Value:
    valve_trials = trials(facts, subject)
    if not valve_trials[-1].predicted:
        raise NotApplicable("the mark was read on the engine as it is now")
    read = [trial for trial in valve_trials if trial.mark is not None and trial.width_counts]
    if not read:
        raise Undecided(NO_MARK, (valve_trials[-1].place,))
    return _from(facts, subject, read[-1], valve_trials[-1], side)


def _from(facts: Facts, subject: Subject, then: Trial, today: Trial, side: int) -> Value:
    """One edge now: the pivot keeps its distance from the valve's axis, its height and the lift change."""
    assert then.mark is not None
    band = facts.optional("marks.contact_band") or exact(0.0, "length")
    shared = (
        facts.field("rockers.valve_arm"), gross_lift(facts, subject), then.lift_less, then.pivot_height,
        today.pivot_height, *then.mark, tip_diameter(facts, subject), band,
    )  # fmt: skip
    if facts.is_roller:
        return derive("length", partial(_roller, side), *shared, signed_height_error(facts, subject))
    return derive("length", partial(_pad, side), *shared)


def _roller(
    side: int, arm: float, lift: float, lift_less: float, then: float, today: float,
    near: float, far: float, tip: float, band: float, q: float,
) -> float:  # fmt: skip
    before = q + today - then + lift_less / 2
    offset = pivot_offset_from_mark(arm, lift - lift_less, before, (near, far), tip)
    return predicted_mark(arm, lift, q, offset, tip, band)[side]


def _pad(
    side: int, arm: float, lift: float, lift_less: float, then: float, today: float,
    near: float, far: float, tip: float, band: float,
) -> float:  # fmt: skip
    lift_then = lift - lift_less
    before = height_error_from_width(arm, lift_then, far - near - band)
    offset = pivot_offset_from_mark(arm, lift_then, before, (near, far), tip)
    s0 = before + lift_then / 2 + then - today
    return predicted_mark(arm, lift, s0 - lift / 2, offset, tip, band)[side]
