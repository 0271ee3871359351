"""Named quantities of the pivot's height: how far it is from mid-lift, by width or contact lines."""

from __future__ import annotations

from buildcheck.build.facts import Facts
from buildcheck.build.mark_plausibility import refuse_contact
from buildcheck.build.trial_reading import KEEP_BOTH
from buildcheck.build.trials import trials
from buildcheck.core.subject import Subject
from buildcheck.core.value import NotApplicable, Undecided, Value, derive, remarks
from buildcheck.formulas import height_fit as fitting
from buildcheck.formulas import rocker
from buildcheck.quantities.height_trials import (
    READ_CONTACTS,
    fitted_trials,
    left_out,
    lone_lines,
    no_height_reason,
    readings,
    roller,
)
from buildcheck.quantities.valvetrain import gross_lift

TWO_HEIGHTS = (
    "the earlier trials fit two different pivot heights: take the last mark again, or read the contact lines with "
    "the valve closed and at full lift"
)


def mark_width_least(facts: Facts, subject: Subject) -> Value:
    """Width of the narrowest mark that a roller tip can leave, m."""
    _roller_only(facts)
    arm, lift = facts.field("rockers.valve_arm"), gross_lift(facts, subject)
    return derive("length", rocker.mark_width_least, arm, lift)


def fit(facts: Facts, subject: Subject) -> fitting.Fit:
    """All trials of a valve with a roller tip, fitted together."""
    return facts.once(("fit", subject), _fit, facts, subject)


def _fit(facts: Facts, subject: Subject) -> fitting.Fit:
    refuse_contact(facts, subject)
    if not any(trial.shows_height_error for trial in fitted_trials(facts, subject)):
        places = tuple(trial.place for trial in trials(facts, subject))
        raise Undecided(left_out(facts, subject) or KEEP_BOTH, places)
    return fitting.fit_trials(readings(facts, subject), roller(facts, subject))


def height_error(facts: Facts, subject: Subject) -> Value:
    """Distance of the pivot below mid-lift height, m. Positive: the pivot is too low. Its sign can stay unknown."""
    _roller_only(facts)
    places = tuple(trial.place for trial in trials(facts, subject))
    if not any(trial.mark or trial.contacts for trial in trials(facts, subject)):
        raise no_height_reason(facts, subject, places)
    try:
        found = fit(facts, subject)
    except ValueError as error:
        raise Undecided(str(error), places) from error
    if found.inconsistent:
        raise Undecided(
            "the trials disagree: a pushrod was not seated, or the lifter was off the base circle; measure again",
            places,
        )
    if found.lower_bound:
        raise Undecided("the mark ran off the tip: the height error is large, its size is unknown", places)
    low, best, high = _span(found.solutions)
    one_height = found.sign_known or low < 0 < high or len(found.solutions) == 1
    if not (one_height or _mirrored(*found.solutions)):
        raise Undecided(TWO_HEIGHTS, places)
    q = best if one_height else abs(best)
    spread = max(high - best, best - low) / 2
    return Value(
        q,
        "length",
        {f"the fit of the trials of {subject.text}": spread},
        places,
        remarks(left_out(facts, subject), *lone_lines(facts, subject)),
        one_height,
    )


def _span(solutions: tuple[fitting.Solution, ...]) -> tuple[float, float, float]:
    """Low end, best and high end: of the best solution, or of both where they all but meet at zero."""
    best, low, high = solutions[0], min(s.low for s in solutions), max(s.high for s in solutions)
    inner = max(s.low for s in solutions) - min(s.high for s in solutions)
    if low < 0 < high and inner < min(s.high - s.low for s in solutions) / 2:
        return low, (low + high) / 2, high
    return best.low, best.q, best.high


def _mirrored(one: fitting.Solution, other: fitting.Solution) -> bool:
    """Whether two solutions are one magnitude of unknown sign: the last trial's own width leaves no others."""
    return one.low <= -other.q <= one.high and other.low <= -one.q <= other.high


def signed_height_error(facts: Facts, subject: Subject) -> Value:
    """The height error if its sign is known; else Undecided with the reading that would show it."""
    q = facts.get("height_error", subject)
    if not q.sign_known and abs(q.si) > q.expanded:
        raise Undecided(READ_CONTACTS, q.places)
    return q


def _roller_only(facts: Facts) -> None:
    if not facts.is_roller:
        raise NotApplicable("a pad tip has no narrowest mark: its mark is centred")
