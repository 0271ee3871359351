"""Push rod lengths that keep the mark's rules where a nut sets the pivot's height."""

from __future__ import annotations

from collections.abc import Callable

from buildcheck.facts import Facts
from buildcheck.predicted_mark import lean, predicted
from buildcheck.quantities import geometry, lengths, marks, valvetrain
from buildcheck.subjects import Subject
from buildcheck.trials import last_mark
from buildcheck.values import NotApplicable, Undecided

Interval = tuple[float, float]

PICOMETRE = 1e-12
NO_ROD_CENTRES = "no push rod length centres this mark: the rocker's arm, guide plate, stud's lean or a lash cap must"


def mark_intervals(facts: Facts, subject: Subject) -> tuple[tuple[Interval, ...], float]:
    """The lengths at which the mark's rules hold as predicted, m as measured, and the one asked.

    Where the sign of the height error is unknown: the lengths that are right whichever it is, or, where there
    are none, an interval for each sign, the longer one asked. Raises Undecided where no length will do.
    """
    factor = geometry.length_per_height(facts, subject).si
    if not marks.is_roller(facts):
        asked, room = facts.get("length_asked", subject), _shoe_room(facts, subject) * factor
        if room < 0:
            raise Undecided("the mark is as wide as the plain tip: no push rod length keeps it on", asked.places)
        return ((asked.si - room, asked.si + room),), asked.si
    error = facts.get("height_error", subject)
    base = lengths.asked_with(facts, subject, lengths.last_length(facts, subject)).si
    signed = sorted({error.si} if error.sign_known else {error.si, -error.si})
    spans = [(q, span) for q in signed if (span := _roller_room(facts, subject, q)) is not None]
    if not spans:
        raise Undecided(NO_ROD_CENTRES, error.places)
    found = [(base + (q - high) * factor, base + (q - low) * factor) for q, (low, high) in spans]
    shared = max(low for low, _ in found), min(high for _, high in found)
    if len(found) > 1 and shared[0] <= shared[1]:
        return (shared,), min(max(base, shared[0]), shared[1])
    return tuple(found), base + spans[-1][0] * factor


def _roller_room(facts: Facts, subject: Subject, q: float) -> Interval | None:
    """From the lowest to the highest height error, m, at which the rules hold as predicted; None where not at zero."""
    reach = facts.field("rockers.valve_arm").si - valvetrain.gross_lift(facts, subject).si / 2
    limit = min(facts.bound("geometry-at-mid-lift", "at_most", subject).si, reach)
    holds = _holds(facts, subject, q)
    if limit < 0 or not holds(0.0):
        return None
    return -_farthest(lambda off: holds(-off), limit), _farthest(holds, limit)


def _farthest(holds: Callable[[float], bool], limit: float) -> float:
    """How far from zero a condition holds that holds at zero, up to a limit."""
    if holds(limit):
        return limit
    low, high = 0.0, limit
    while high - low > PICOMETRE:
        middle = (low + high) / 2
        low, high = (middle, high) if holds(middle) else (low, middle)
    return low


def _holds(facts: Facts, subject: Subject, q: float) -> Callable[[float], bool]:
    """Whether the mark predicted at another height error stays on the tip and centred; always without a mark."""
    try:
        mark = predicted(facts, subject, q)
    except NotApplicable:
        return lambda other: True
    off_most, margin_least = _mark_limits(facts, subject)

    def holds(other: float) -> bool:
        low, high = mark.edges(other)
        return abs(mark.centre(other)) <= off_most and min(low, mark.tip - high) >= margin_least

    return holds


def _shoe_room(facts: Facts, subject: Subject) -> float:
    """How far the pivot may be off, m, with the mark's centre still in its limits and the mark on the tip."""
    width, lift = marks.mark_width(facts, subject).si, valvetrain.gross_lift(facts, subject).si
    trial = last_mark(facts, subject)
    assert trial.mark is not None
    off_most, margin_least = _mark_limits(facts, subject)
    beside = (marks.tip_diameter(facts, subject).si - (trial.mark[1].si - trial.mark[0].si)) / 2 - margin_least
    return min(off_most, beside) / (width / lift + lean(facts))


def _mark_limits(facts: Facts, subject: Subject) -> tuple[float, float]:
    return (
        facts.bound("mark-centred", "at_most", subject).si,
        facts.bound("mark-on-tip", "at_least", subject).si,
    )
