"""What to do next on each valve: what its mark says, how far the pivot is off, the cure, and how sure that is."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from buildcheck.advice.next_step import Step, pad_tip_step, roller_step, spread_step, turns_of_nut
from buildcheck.build.facts import Facts
from buildcheck.build.mark_plausibility import refuse_contact
from buildcheck.build.trials import last_marked, trials
from buildcheck.core.subject import Subject
from buildcheck.core.value import Missing, NotApplicable, Undecided, Value
from buildcheck.quantities import height_trials, pushrod_inclination
from buildcheck.quantities.base_circle_window import refuse_off_heel
from buildcheck.record import Record

Basis = Literal["contact lines", "trials together", "width alone", ""]


class Advice(Record):
    """One measured valve. An unknown value is None; ``reason`` then says why.

    ``mount`` is the word in rockers.yaml; ``free``: a nut sets the pivot's height.
    ``height_error`` is positive where the pivot sits too low; ``basis`` what it was determined from; ``sure``
    the uncertainty of its required length (m, k = 2), under a nut only. ``off_centre`` is where the
    mark would lie at its narrowest, where that is outside its limit; ``moved`` describes a mark that moved
    under a fixed pivot; ``marked``: the last trial has a mark; ``turns`` are the adjuster's past zero lash
    for ``preload``.
    """

    subject: Subject
    place: str
    roller: bool
    mount: str
    free: bool
    offset: Value | None
    width: Value | None
    least: Value | None
    margin: Value | None
    height_error: Value | None
    basis: Basis
    reason: str
    sure: float | None
    off_centre: Value | None
    moved: str
    marked: bool
    step: Step
    length_asked: Value | None
    preload: Value | None
    turns: float | None

    @property
    def needs_work(self) -> bool:
        """Whether something is left to do before the mark is right."""
        return self.step.action != "none" or self.off_centre is not None or bool(self.moved)


def advice(facts: Facts) -> list[Advice]:
    """The advice for every valve that was measured, in order; none while anything is lacking for it."""
    if lacking(facts):
        return []
    return [advise(facts, subject) for subject in facts.subjects("valve") if _was_measured(facts, subject)]


def lacking(facts: Facts) -> str:
    """Which file or field there must be before any valve can be advised on; empty where all are."""
    needed = ("block.cylinders", "rockers.tip.type", "rockers.mount")
    return next((facts.missing(path).reason for path in needed if facts.node(path) is None), "")


def advise(facts: Facts, subject: Subject) -> Advice:
    """The advice for one valve. Raises NotApplicable or Undecided where it was not measured."""
    last = last_marked(trials(facts, subject))
    roller, free = facts.is_roller, facts.pivot_is_free
    error, reason = _value_or_reason(facts, "height_error" if roller else "mark_offset", subject)
    off_centre = _off_centre(facts, subject) if roller else None
    return Advice(
        subject=subject,
        place=f"{last.place.file}:{last.place.line}",
        roller=roller,
        mount=facts.text("rockers.mount"),
        free=free,
        offset=facts.get_or_none("mark_offset", subject),
        width=facts.get_or_none("mark_width", subject),
        least=facts.get_or_none("mark_width_least", subject),
        margin=facts.get_or_none("mark_edge_margin", subject),
        height_error=error if roller else None,
        basis=_basis(facts, subject) if error is not None and roller else "",
        reason=reason,
        sure=_sure(facts, subject, error) if free and roller else None,
        off_centre=off_centre,
        moved=_moved(facts, subject),
        marked=last.mark is not None or last.predicted,
        step=_step(facts, subject, roller, off_centre),
        length_asked=facts.get_or_none("length_asked", subject),
        preload=facts.get_or_none("preload", subject),
        turns=turns_of_nut(facts, subject),
    )


def _step(facts: Facts, subject: Subject, roller: bool, off_centre: Value | None) -> Step:
    try:
        refuse_contact(facts, subject)
    except Undecided as reason:
        return Step("clear the retainer", why=reason.reason)
    try:
        refuse_off_heel(facts, subject)
        step = roller_step(facts, subject) if roller else pad_tip_step(facts, subject)
    except NotApplicable:
        return _unmarked(facts, subject)
    except Missing as reason:
        return Step("fill in", why=reason.reason)
    except Undecided as reason:
        return Step("mark again", why=reason.reason)
    if step.action != "none":
        return step
    return Step("move the centre") if off_centre is not None else _settling(facts, subject)


def _unmarked(facts: Facts, subject: Subject) -> Step:
    """What follows trials without a mark: the other side of a bracket, or the mark if the length depends on it."""
    last = last_marked(trials(facts, subject))
    read = last.length is not None and not facts.pivot_is_free
    if last.mark is not None or last.predicted or read:
        return Step("none")
    return Step("take a mark", why=last.length_reason.reason if last.feel and last.length is None else "")


def _settling(facts: Facts, subject: Subject) -> Step:
    """What a mark that needs no cure leaves to be read, for the order's sake."""
    try:
        return spread_step(facts, subject) or Step("none")
    except (NotApplicable, Undecided):
        return Step("none")


def _off_centre(facts: Facts, subject: Subject) -> Value | None:
    """Where the mark would lie at its narrowest, if that is further off than the limit on the mark's centre."""
    offset = facts.get_or_none("offset_at_narrowest", subject)
    try:
        limit = facts.bound("mark_centre_limit", subject)
    except (NotApplicable, Undecided):
        return None
    return offset if offset is not None and abs(offset.si) - offset.expanded > limit.si else None


def _basis(facts: Facts, subject: Subject) -> Basis:
    read = [trial for trial in height_trials.fitted_trials(facts, subject) if trial.mark or trial.contacts]
    if any(trial.contacts for trial in read):
        return "contact lines"
    return "trials together" if len(read) > 1 else "width alone"


def _sure(facts: Facts, subject: Subject, error: Value | None) -> float | None:
    if error is None:
        return None
    off = error.expanded if error.sign_known else abs(error.si) + error.expanded
    return off * pushrod_inclination.length_per_height(facts, subject).si


def _moved(facts: Facts, subject: Subject) -> str:
    moved = facts.get_or_none("mark_moved", subject)
    return moved.remark if moved is not None and moved.si else ""


def _value_or_reason(facts: Facts, name: str, subject: Subject) -> tuple[Value | None, str]:
    try:
        return facts.get(name, subject), ""
    except NotApplicable:
        return None, ""
    except Undecided as reason:
        return None, reason.reason


def _was_measured(facts: Facts, subject: Subject) -> bool:
    try:
        return bool(trials(facts, subject))
    except (NotApplicable, Undecided):
        return False


def unmeasured(facts: Facts) -> Iterator[Subject]:
    """The valves that no trial speaks of."""
    yield from (subject for subject in facts.subjects("valve") if not _was_measured(facts, subject))
