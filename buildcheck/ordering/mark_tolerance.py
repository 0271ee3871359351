"""Pushrod lengths that keep the mark's rules where a nut sets the pivot's height."""

from __future__ import annotations

from collections.abc import Callable

from buildcheck.build.facts import Facts
from buildcheck.core.reason import Cause
from buildcheck.core.subject import Subject
from buildcheck.core.value import NotApplicable, Undecided
from buildcheck.formulas.numeric import find_root
from buildcheck.ordering.predicted_mark import pad_tip_height_error, predict_mark
from buildcheck.quantities import lengths, pivot_motion, pushrod_inclination, valvetrain

Interval = tuple[float, float]

NO_LENGTH_KEEPS_MARGIN = "the mark is too wide: no pushrod length keeps it far enough from the valve tip edge"
TOLERANCE = 1e-12
NO_LENGTH_CENTRES = (
    "no pushrod length centres this mark; fit a rocker with another pivot-to-tip length, or correct its position"
)


def mark_intervals(facts: Facts, subject: Subject) -> tuple[tuple[Interval, ...], float]:
    """The lengths at which the mark's rules hold as predicted, m as measured, and the one asked.

    Where the sign of the height error is unknown: the lengths that are right whichever it is, or, where there
    are none, an interval for each sign, the longer one asked. Raises Undecided where no length will do.
    """
    factor = pushrod_inclination.length_per_height(facts, subject).si
    if not facts.is_roller:
        return _pad_tip_interval(facts, subject, factor)
    error = facts.get("height_error", subject)
    base = lengths.length_with_trial(facts, subject, lengths.last_length(facts, subject)).si
    signed = sorted({error.si} if error.sign_known else {error.si, -error.si})
    spans = [(q, span) for q in signed if (span := _roller_tolerance(facts, subject, q)) is not None]
    if not spans:
        raise Undecided(NO_LENGTH_CENTRES, error.places, Cause("mark_offset", subject))
    found = [(base + (q - high) * factor, base + (q - low) * factor) for q, (low, high) in spans]
    shared = max(low for low, _ in found), min(high for _, high in found)
    if len(found) > 1 and shared[0] <= shared[1]:
        return (shared,), min(max(base, shared[0]), shared[1])
    return tuple(found), base + spans[-1][0] * factor


def _pad_tip_interval(facts: Facts, subject: Subject, factor: float) -> tuple[tuple[Interval], float]:
    """Around what is asked, to the heights at which the mark is predicted to break a rule."""
    target, height_error = facts.get("length_asked", subject), pad_tip_height_error(facts, subject)
    short = _short_of_rules(facts, subject, height_error)
    aim = height_error - pivot_motion.pad_tip_raise(facts, subject).si
    if short(aim) > 0:
        pivot_motion.refuse_out_of_reach(facts, subject)
        raise Undecided(NO_LENGTH_KEEPS_MARGIN, target.places, Cause("mark_offset", subject))
    shorter = _boundary(lambda off: short(aim + off), _reachable_height_error(facts, subject) - aim) * factor
    longer = _boundary(lambda off: short(aim - off), aim) * factor  # above its narrowest a pad's mark turns back
    return ((target.si - shorter, target.si + longer),), target.si


def _reachable_height_error(facts: Facts, subject: Subject) -> float:
    """The height error at which the arm would point along the valve, m."""
    return facts.field("rockers.valve_arm").si - valvetrain.gross_lift(facts, subject).si / 2


def _roller_tolerance(facts: Facts, subject: Subject, q: float) -> Interval | None:
    """From the lowest to the highest height error, m, at which the rules hold as predicted; None where not at zero."""
    limit = min(facts.bound("pivot_height_adjustable", subject).si, _reachable_height_error(facts, subject))
    short = _short_of_rules(facts, subject, q)
    if limit < 0 or short(0.0) > 0:
        return None
    return -_boundary(lambda off: short(-off), limit), _boundary(short, limit)


def _boundary(short: Callable[[float], float], limit: float) -> float:
    """How far from zero nothing is short that is not at zero, up to a limit."""
    if (at_limit := short(limit)) <= 0:
        return limit
    return max(find_root(short, (0.0, short(0.0)), (limit, at_limit), TOLERANCE) - TOLERANCE, 0.0)


def _short_of_rules(facts: Facts, subject: Subject, q: float) -> Callable[[float], float]:
    """By how much the mark predicted at another height error breaks a rule, m; nowhere without a mark."""
    try:
        mark = predict_mark(facts, subject, q)
    except NotApplicable:
        return lambda other: 0.0
    off_most, margin_least = _mark_limits(facts, subject)

    def short(other: float) -> float:
        centre, low, high = mark.centre_and_edges(other)
        return max(abs(centre) - off_most, margin_least - min(low, mark.tip - high))

    return short


def _mark_limits(facts: Facts, subject: Subject) -> tuple[float, float]:
    return (
        facts.bound("mark_centre_limit", subject).si,
        facts.bound("mark_edge_limit", subject).si,
    )
