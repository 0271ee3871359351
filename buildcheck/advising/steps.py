"""The next step at the bench: which trial, rod, shim or reading, in the checker's own turns."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from buildcheck.ends import measured_on_checker
from buildcheck.facts import Facts
from buildcheck.formulas.next_trial import Proposal, finer_by, next_trial
from buildcheck.formulas.shoe import shoe_raise_to_centre
from buildcheck.quantities import geometry, lengths, valvetrain
from buildcheck.subjects import Subject
from buildcheck.trials import is_hydraulic, last_mark, trials
from buildcheck.values import NotApplicable, Undecided, Value, derive, exact

Action = Literal[
    "change height", "change length", "clear the retainer", "finer gauge", "mark again", "move the centre",
    "none", "read contacts", "repeat",
]  # fmt: skip

RAN_OFF = "the mark ran off the tip, so this is a first step only"
OUT_OF_REACH = "the checker does not reach that length"


@dataclass(frozen=True, slots=True)
class Step:
    """What to do next; lengths in m.

    ``trial`` is the number of the one to repeat. ``height`` is how far the pivot should rise: on a fixed mount
    a shim (negative: metal off, or a lash cap). ``length`` is the change of push rod that goes with it (with a
    lash cap, ``length_with_cap``), ``reading`` what the gauge then shows over the checker, ``turns`` those of
    the checker (out is positive), ``turns_in_all`` where they then stand. With "read contacts" they
    are the trial that may serve instead. ``good_to``: the reading's uncertainty that would settle it.
    """

    action: Action
    why: str = ""
    trial: int | None = None
    height: Value | None = None
    length: Value | None = None
    length_with_cap: Value | None = None
    reading: float | None = None
    turns: float | None = None
    turns_in_all: float | None = None
    good_to: float | None = None


def roller_step(facts: Facts, subject: Subject) -> Step:
    """The next step on a valve with a roller tip. Raises NotApplicable or Undecided without a mark."""
    _refuse_unread(facts, subject)
    free = geometry.pivot_is_free(facts)
    allowed = facts.bound("geometry-at-mid-lift" if free else "geometry-fixed-mount", "at_most", subject).si
    if _good_enough(facts, subject, allowed):
        return Step("none")
    try:
        fit, read = geometry.fit(facts, subject), geometry.readings(facts, subject)
        found = next_trial(fit, read, geometry.roller(facts, subject), good_enough=0.0)
    except ValueError as refused:
        raise Undecided(str(refused)) from refused
    match found.action:
        case "repeat":
            assert found.trial is not None
            numbers = [trial.number for trial in geometry.in_fit(facts, subject)]
            return Step("repeat", facts.get("trials_in_doubt", subject).said, numbers[found.trial])
        case "read contacts":
            return _moved(facts, subject, Step("read contacts"), _exact(found))
        case "centring trial":
            error = facts.get("height_error", subject)
            return _moved(facts, subject, Step("change length" if free else "change height"), error)
        case "finer gauge":
            return Step("finer gauge", good_to=_good_to(facts, subject, allowed))
        case "none":
            return Step("none")


def shoe_step(facts: Facts, subject: Subject) -> Step:
    """The next step on a valve with a plain tip: its mark is to be centred. Raises Undecided without a mark."""
    offset = facts.get("mark_offset", subject)
    allowed = min(facts.bound(rule, "at_most", subject).si for rule in ("mark-centred", "mark-near-centre"))
    free = geometry.pivot_is_free(facts)
    action: Action = "change length" if free else "change height"
    if abs(offset.si) + offset.expanded <= allowed:
        return Step("none")
    if facts.get("mark_edge_margin", subject).si <= 0:
        return _moved(facts, subject, Step(action, RAN_OFF), _first_rise(facts, subject, offset))
    rise = geometry.shoe_raise(facts, subject)
    if abs(offset.si) <= offset.expanded:
        return Step("finer gauge", good_to=max(allowed - abs(offset.si), 0.0) or None)
    return _moved(facts, subject, Step(action), rise)


def turns_of_nut(facts: Facts, subject: Subject) -> float | None:
    """Turns of the adjuster past zero lash that give the preload written or aimed at."""
    try:
        each, turns = facts.get("preload_per_turn", subject), lengths.adjuster_turns(facts, subject)
        if turns is not None:
            return turns.si
        return lengths.preload_aim(facts).si / each.si if is_hydraulic(facts) else None
    except (NotApplicable, Undecided):
        return None


def _first_rise(facts: Facts, subject: Subject, offset: Value) -> Value:
    """A rise reckoned from what a mark that ran off left on the tip."""
    edges, lift = last_mark(facts, subject).mark, valvetrain.gross_lift(facts, subject)
    assert edges is not None
    return exact(shoe_raise_to_centre(offset.si, lift.si, edges[1].si - edges[0].si), "length")


def _refuse_unread(facts: Facts, subject: Subject) -> None:
    """The height error's own reasons, but for those that a step answers."""
    try:
        facts.get("height_error", subject)
    except Undecided:
        if not any(trial.tells_height for trial in trials(facts, subject)):
            raise


def _good_enough(facts: Facts, subject: Subject, allowed: float) -> bool:
    """Whether the rule on the height error passes: no trial need follow."""
    try:
        error = facts.get("height_error", subject)
    except Undecided:
        return False
    return abs(error.si) + error.expanded <= allowed


def _exact(found: Proposal) -> Value | None:
    return exact(found.height, "length") if found.height is not None else None


def _moved(facts: Facts, subject: Subject, step: Step, rise: Value | None) -> Step:
    """The step with what goes along with a rise of the pivot: rod, reading, turns; on a fixed mount no other rod."""
    if rise is None:
        return step
    factor, ratio = geometry.length_per_height(facts, subject), facts.field("rockers.ratio", subject)
    length = derive("length", lambda q, f: q * f, rise, factor)
    step = replace(step, height=rise, length=length)
    if not geometry.pivot_is_free(facts):
        cap = derive("length", lambda q, r: q / r, rise, ratio) if rise.si < 0 else None
        return replace(step, length_with_cap=cap)
    stood = geometry.spoken_of(facts, subject).length
    if stood is None:
        return step
    reading = stood.si + length.si - measured_on_checker(facts, exact(0.0, "length")).si
    if facts.node("pushrods.checker") is None:
        return replace(step, reading=reading)
    pitch, zero = facts.pitch("pushrods.checker.thread").si, facts.field("pushrods.checker.length_at_zero_turns").si
    in_all, most = (reading - zero) / pitch, facts.optional("pushrods.checker.most_turns")
    if in_all < 0 or (most is not None and in_all > most.si):
        step = replace(step, why=OUT_OF_REACH)
    return replace(step, reading=reading, turns=length.si / pitch, turns_in_all=in_all)


def _good_to(facts: Facts, subject: Subject, allowed: float) -> float | None:
    """How small the expanded uncertainty of each reading on the tip must be for the height error to clear its limit."""
    read = geometry.readings(facts, subject)
    share = finer_by(read, geometry.roller(facts, subject), allowed)
    return 2 * share * max(trial.u_edge for trial in read) if share else None
