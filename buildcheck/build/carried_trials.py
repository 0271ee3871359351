"""Trials of an earlier state of the engine, carried over to the engine as it is now."""

from __future__ import annotations

from functools import partial

from buildcheck.build.changes import Change, height_effect, zero_lash_effect
from buildcheck.build.facts import Facts
from buildcheck.build.states import CAP, NOISE, SHIM, State, changes_since, is_earlier, tip_was
from buildcheck.build.trial import ZERO, Carried, Trial
from buildcheck.core.subject import Subject
from buildcheck.core.value import Value, derive, difference
from buildcheck.record import replace


def effect_of(facts: Facts, subject: Subject, change: Change) -> Carried:
    """What a change adds to a reading taken before it."""
    return Carried(change, zero_lash_effect(facts, subject, change), height_effect(facts, subject, change))


def carried_over(facts: Facts, subject: Subject, trial: Trial, state: State | None, stand_in: bool) -> Trial:
    """A trial as it would read on the engine as it is now; unchanged if nothing was changed since.

    Its length is the one over today's shim; ``pivot_height`` keeps how high its own pivot was. A stand-in lifter's
    own height is known, so a lower cup of the lifter to be run changes nothing.
    """
    found = _changes(facts, subject, trial, state)
    applying = [change for change in found if not (stand_in and change.name == "lifter_cup_lower")]
    shifted = _on_todays_tip(facts, subject, trial, tip_was(facts, subject, state))
    if not applying:
        return replace(shifted, state=state.name) if state is not None else shifted
    terms = tuple(effect_of(facts, subject, change) for change in applying)
    fitted = facts.optional(SHIM) or ZERO
    return replace(
        shifted,
        state=state.name if state is not None else "",
        carried=terms,
        length=_sum(trial.length, terms) if trial.length is not None else None,
        shim=fitted,
        height_then=_height_then(fitted, terms),
        lift_less=_lift_less(facts, subject, terms),
    )


def _changes(facts: Facts, subject: Subject, trial: Trial, state: State | None) -> list[Change]:
    """The changes since a trial: its own shim and lash cap replace its state's; a shim of today is no change."""
    found = changes_since(facts, subject, state)
    if trial.own_shim and is_earlier(facts, state):
        found = [*_step("pedestal_raised", SHIM, facts.optional(SHIM), trial.shim), *_without(found, SHIM)]
    if trial.cap is not None:
        found = [*_step("tip_higher", CAP, facts.optional(CAP, subject), trial.cap), *_without(found, CAP)]
    return found


def _without(found: list[Change], path: str) -> list[Change]:
    return [change for change in found if change.path != path]


def _step(name: str, path: str, today: Value | None, then: Value) -> list[Change]:
    step = difference(today or ZERO, then)
    return [Change(name, step, path)] if abs(step.si) > max(step.expanded, NOISE) else []


def _sum(length: Value, terms: tuple[Carried, ...]) -> Value:
    for term in terms:
        length = derive("length", lambda a, b: a + b, length, term.length, remark=length.remark)
    return length


def _height_then(fitted: Value, terms: tuple[Carried, ...]) -> Value:
    """How high its pivot was over the tip, as a shim under today's engine would put it."""
    for term in terms:
        if term.change.name != "lobe_lift":
            fitted = derive("length", lambda a, b: a + b, fitted, term.height)
    return fitted


def _lift_less(facts: Facts, subject: Subject, terms: tuple[Carried, ...]) -> Value:
    """Today's valve lift less the one at the trial, m."""
    lobes = [term.change.value for term in terms if term.change.name == "lobe_lift"]
    ratio = facts.field("rockers.ratio", subject)
    return derive("length", lambda r, *each: r * sum(each), ratio, *lobes) if lobes else ZERO


def _on_todays_tip(facts: Facts, subject: Subject, trial: Trial, then: Value | None) -> Trial:
    """A mark's edges counted from the edge of today's tip, which a lash cap may have made wider."""
    then = trial.cap_diameter or then
    if then is None:
        return trial
    cap = facts.optional("heads.valves.{valve}.lash_cap.diameter", subject)
    today = cap or facts.field("heads.valves.{valve}.tip_diameter", subject)
    if abs(today.si - then.si) < 1e-9:
        return trial
    step = derive("length", lambda a, b: (a - b) / 2, today, then)
    moved = partial(_moved, step)
    return replace(trial, mark=moved(trial.mark), contacts=moved(trial.contacts))


def _moved(step: Value, pair: tuple[Value, Value] | None) -> tuple[Value, Value] | None:
    if pair is None:
        return None
    one, other = (derive("length", lambda a, b: a + b, edge, step) for edge in pair)
    return one, other


def needs_prediction(valve_trials: list[Trial]) -> bool:
    """Whether the mark on the engine as it is now has to be predicted: it was read before the height changed."""
    read = [trial for trial in valve_trials if trial.mark or trial.contacts]
    return bool(read) and not any(not trial.mark_moves for trial in read)


def as_it_is_now(valve_trials: list[Trial]) -> Trial:
    """The engine as it is now, on which nothing was read: its mark is predicted, its length carried over."""
    long = [trial for trial in valve_trials if trial.length is not None]
    last = ([trial for trial in long if trial.mark] or long or valve_trials)[-1]
    return replace(last, mark=None, contacts=None, lone_line="", height_then=None, lift_less=ZERO, predicted=True)
