"""Trials of an earlier state of the engine, carried over to the engine as it is now."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import partial
from typing import TYPE_CHECKING

from buildcheck.build.facts import Facts
from buildcheck.build.states import SHIM, Change, State, changes_since, shim_was, tip_was
from buildcheck.core.subject import Subject
from buildcheck.core.value import Undecided, Value, derive, difference, exact, widened
from buildcheck.formulas import linkage
from buildcheck.formulas.carried_reading import SHARE, Effect, effects

if TYPE_CHECKING:
    from buildcheck.build.trials import Trial

ZERO = exact(0.0, "length")


@dataclass(frozen=True, slots=True)
class Carried:
    """What one change since a trial adds to its zero-lash length, m; ``height``: to its height error, m."""

    change: Change
    length: Value
    height: Value


def pivot_is_free(facts: Facts) -> bool:
    """Whether a nut on the stud sets the pivot's height; else it is fixed, as it always is on pedestal and shaft."""
    return facts.text("rockers.mount") == "stud" and facts.text("rockers.adjuster") == "nut"


def effect_of(facts: Facts, subject: Subject, change: Change) -> Carried:
    """What a change adds to a reading taken before it; each term is as sure as 5 % of it and the change itself."""
    one = partial(_term, facts, subject, change)
    return Carried(change, one("length"), one("height"))


def carried_over(facts: Facts, subject: Subject, trial: Trial, state: State | None, stand_in: bool) -> Trial:
    """A trial as it would read on the engine as it is now; unchanged if nothing was changed since.

    Its length is the one over today's shim; ``pivot_height`` keeps how high its own pivot was. A stand-in lifter's
    own height is known, so a lower cup of the lifter to be run changes nothing.
    """
    found = _changes(facts, subject, trial, state)
    own = [change for change in found if not (stand_in and change.name == "lifter_cup_lower")]
    shifted = _on_todays_tip(facts, subject, trial, tip_was(facts, subject, state))
    if not own:
        return replace(shifted, state=state.name) if state is not None else shifted
    terms = tuple(effect_of(facts, subject, change) for change in own)
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
    """The changes since a trial: its own shim replaces its state's."""
    found = changes_since(facts, subject, state)
    if not found and not trial.own_shim:
        return []
    if state is None or not _is_earlier(facts, state):
        return []
    before = trial.shim if trial.own_shim else shim_was(facts, subject, state)
    rest = [change for change in found if change.path != SHIM]
    if before is None:
        return rest
    step = difference(facts.optional(SHIM) or ZERO, before)
    raised = [Change("pedestal_raised", step, SHIM)] if abs(step.si) > max(step.expanded, 1e-9) else []
    return [*raised, *rest]


def _is_earlier(facts: Facts, state: State) -> bool:
    from buildcheck.build.states import states

    return state is not states(facts)[-1]


def _term(facts: Facts, subject: Subject, change: Change, side: str) -> Value:
    ratio = facts.field("rockers.ratio", subject)
    factor = partial(_factor, facts, change.name, side)
    upright = exact(0.0, "angle")
    lean, slant = facts.optional("rockers.stud_lean") or upright, facts.optional("pushrods.inclination") or upright
    found = derive("length", factor, change.value, ratio, lean, slant)
    return widened(found, SHARE * abs(found.si), f"carried over {change.name} {subject.valve}")


def _factor(facts: Facts, name: str, side: str, change: float, ratio: float, lean: float, slant: float) -> float:
    per_height = linkage.length_per_height(ratio, lean, slant)
    table: dict[str, Effect] = effects(ratio, pivot_is_free(facts), per_height)
    if name not in table:
        raise ValueError("a rocker on a stud with a nut has no pedestal to raise")
    return change * float(getattr(table[name], side))


def _sum(length: Value, terms: tuple[Carried, ...]) -> Value:
    for term in terms:
        length = derive("length", lambda a, b: a + b, length, term.length, said=length.said)
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


def needs_prediction(own: list[Trial]) -> bool:
    """Whether the mark on the engine as it is now has to be predicted: it was read before the height changed."""
    read = [trial for trial in own if trial.mark or trial.contacts]
    return bool(read) and not any(not trial.mark_moves for trial in read)


def as_it_is_now(own: list[Trial]) -> Trial:
    """The engine as it is now, on which nothing was read: its mark is predicted, its length carried over."""
    last = next((trial for trial in reversed(own) if trial.length is not None), own[-1])
    return replace(
        last, mark=None, contacts=None, lone_line="", height_then=None, lift_less=ZERO, predicted=True, cap=ZERO
    )


__all__ = ["Carried", "Undecided", "as_it_is_now", "carried_over", "effect_of", "needs_prediction", "pivot_is_free"]
