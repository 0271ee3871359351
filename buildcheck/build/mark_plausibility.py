"""Marks that cannot be: those beyond the valve tip, unmarked trials and retainer contact."""

from __future__ import annotations

from buildcheck.build.facts import Facts
from buildcheck.build.trial import Trial
from buildcheck.build.trials import last_marked, marked, same_type, trials
from buildcheck.core.subject import Subject
from buildcheck.core.value import NotApplicable, Undecided, Value, difference
from buildcheck.units.quantity import show

PAST_EDGE = 0.005 * 0.0254
"""Least length (m) by which a mark must end beyond the tip to be none: common practice, no published source."""


def last_mark(facts: Facts, subject: Subject) -> Trial:
    """The trial with the mark that is judged: the last one that has a mark, so that a later one without hides nothing.

    A mark made on the retainer is worthless.
    """
    return facts.once(("last mark", subject), _last_mark, facts, subject)


def _last_mark(facts: Facts, subject: Subject) -> Trial:
    last = last_marked(trials(facts, subject))
    refuse_unmarked(facts, subject, last)
    return last


def refuse_unmarked(facts: Facts, subject: Subject, trial: Trial) -> None:
    """NotApplicable or Undecided where a trial has no mark to go by."""
    if trial.mark is None and not trial.predicted:
        which = "the last trial" if trial is trials(facts, subject)[-1] else f"trial {trial.number}"
        if any(marked(facts, other) for other in same_type(facts, subject)):
            raise NotApplicable(f"no mark was taken on {which}, assumed to match the marked valves of its type")
        raise Undecided(f"{which} has no mark", (trial.place,))
    if trial.mark is not None and (slip := mark_slip(facts, subject, trial.mark)) is not None:
        raise slip
    refuse_contact(facts, subject)


def mark_slip(facts: Facts, subject: Subject, mark: tuple[Value, Value]) -> Undecided | None:
    """Why no tip can bear a mark as it is written; none where one can. One that just passes the edge has run off.

    What rests on such a mark is open. That it cannot be is a contradiction, and blocks at every stage.
    """
    first, last = mark
    if first.si > last.si:
        reason = "'to' is smaller than 'from': are they swapped? 'from' is the edge on the pivot side"
        return Undecided(reason, first.places)
    tip = facts.get_or_none("tip_diameter", subject)
    if tip is None:
        return None
    if last.si - tip.si <= PAST_EDGE:
        return None
    beyond = difference(last, tip)
    if beyond.si <= beyond.expanded:
        return None
    ends, ended = (show(length.si, "length", facts.system) for length in (last, tip))
    return Undecided(f"the mark ends at {ends}, and the tip at {ended} (is a unit or digit wrong?)", last.places)


def refuse_contact(facts: Facts, subject: Subject) -> None:
    """Undecided where the rocker touches the retainer: every mark of that valve is a false reading."""
    gap = facts.optional("clearances.{valve}.rocker_to_retainer", subject)
    if gap is not None and gap.si <= 0:
        raise Undecided("the rocker touches the spring retainer, so every mark of this valve is false", gap.places)
