"""The trials from which a valve's pivot height is fitted, and the reading that each gives."""

from __future__ import annotations

from collections.abc import Iterator

from buildcheck.build.facts import Facts
from buildcheck.build.mark_plausibility import mark_slip
from buildcheck.build.trial import Trial
from buildcheck.build.trial_reading import LINES
from buildcheck.build.trials import same_type, trials, why_no_length
from buildcheck.core.problem import Place
from buildcheck.core.subject import Subject
from buildcheck.core.value import NotApplicable, Undecided
from buildcheck.formulas import height_fit as fitting
from buildcheck.formulas import mark
from buildcheck.quantities.marks import tip_diameter
from buildcheck.quantities.pushrod_inclination import length_per_height
from buildcheck.quantities.valvetrain import gross_lift

LEAST_STANDARD = 5e-6
"""Standard uncertainty (m) taken for readings that state none, so that trials can be weighed at all."""


READ_CONTACTS = "this mark does not show it: read the contact lines with the valve closed and at full lift"


def no_height_reason(facts: Facts, subject: Subject, places: tuple[Place, ...]) -> Exception:
    others = (trial for other in same_type(facts, subject) if other != subject for trial in _trials_of(facts, other))
    lone = "".join(f"; {line}" for line in lone_lines(facts, subject))
    if any(trial.mark or trial.contacts for trial in others):
        return NotApplicable(f"no mark was taken, assumed to match the marked valves of its type{lone}")
    return Undecided(f"no trial has a mark{lone}", places)


def _trials_of(facts: Facts, subject: Subject) -> tuple[Trial, ...]:
    try:
        return trials(facts, subject)
    except (NotApplicable, Undecided):
        return ()


def roller(facts: Facts, subject: Subject) -> fitting.Roller:
    """What is known of a valve's rocker, for the fit."""
    band = facts.optional("marks.contact_band")
    return fitting.Roller(
        valve_arm=facts.field("rockers.valve_arm").si,
        lift=gross_lift(facts, subject).si,
        length_per_height=length_per_height(facts, subject).si if facts.pivot_is_free else None,
        contact_band=band.si if band is not None else None,
        u_band=band.expanded / 2 if band is not None else 0.0,
    )


def reference_trial(facts: Facts, subject: Subject) -> Trial:
    """The trial that the required height and length refer to: the last.

    Under a nut the last with a length; with a plain tip there, one with a mark as wide as its sweep comes first.
    """
    valve_trials = trials(facts, subject)
    if not facts.pivot_is_free:
        return valve_trials[-1]
    candidates = [trial for trial in valve_trials if trial.length is not None]
    if not candidates:
        raise why_no_length(valve_trials)
    wide = [] if facts.is_roller else [trial for trial in candidates if trial.width_counts]
    return (wide or candidates)[-1]


def fitted_trials(facts: Facts, subject: Subject) -> list[Trial]:
    """The trials that are fitted: those with a mark or contact lines, and the last, of which the answer speaks.

    Where the length moves the pivot, a trial with a length that cannot be compared with the last one's is left out.
    """
    free, last = facts.pivot_is_free, reference_trial(facts, subject)
    candidates = [trial for trial in trials(facts, subject) if trial.mark or trial.contacts or trial is last]
    return [trial for trial in candidates if not free or trial.length is not None]


def left_out(facts: Facts, subject: Subject) -> str:
    """Says which trials with a reading the fit does without."""
    fitted = fitted_trials(facts, subject)
    read = [trial for trial in trials(facts, subject) if trial.mark or trial.contacts]
    numbers = " and ".join(str(trial.number) for trial in read if trial not in fitted)
    return f"trial {numbers} not used: it lacks length or lifter_cup_height" if numbers else ""


def lone_lines(facts: Facts, subject: Subject) -> Iterator[str]:
    """Says which contact lines are entered without the other one and are not used."""
    for trial in trials(facts, subject):
        if trial.lone_line:
            [other] = set(LINES) - {trial.lone_line}
            yield f"{trial.lone_line} of trial {trial.number} not used: {other} is missing"


def readings(facts: Facts, subject: Subject) -> list[fitting.TrialReadings]:
    """The trials of in_fit, for the fit. Raises Undecided where the mark of one of them cannot be."""
    tip, fitted = tip_diameter(facts, subject).si, fitted_trials(facts, subject)
    for trial in fitted:
        if trial.mark is not None and (slip := mark_slip(facts, subject, trial.mark)) is not None:
            raise slip
    return [_reading(trial, tip) for trial in fitted]


def _reading(trial: Trial, tip: float) -> fitting.TrialReadings:
    read = [value for pair in (trial.mark, trial.contacts) if pair for value in pair]
    edges = (trial.mark[0].si, trial.mark[1].si) if trial.mark is not None and trial.width_counts else None
    return fitting.TrialReadings(
        length=trial.length.si if trial.length is not None else 0.0,
        mark=edges,
        contacts=(trial.contacts[0].si, trial.contacts[1].si) if trial.contacts else None,
        u_edge=max([LEAST_STANDARD, *(value.expanded / 2 for value in read)]),
        u_length=trial.length.expanded / 2 if trial.length is not None else 0.0,
        shim=trial.pivot_height.si,
        u_shim=trial.pivot_height.expanded / 2,
        lift_less=trial.lift_less.si,
        at_edge=edges is not None and mark.reaches_edge(*edges, tip),
    )
