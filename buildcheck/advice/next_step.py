"""The next step at the bench: which trial, rod, shim or reading, in the checker's own turns."""

from __future__ import annotations

from typing import Literal

from buildcheck.advice.probe import in_checker_range, permitted_probe
from buildcheck.build.facts import Facts
from buildcheck.build.length_conventions import measured_on_checker
from buildcheck.build.mark_plausibility import last_mark
from buildcheck.build.trials import trials
from buildcheck.core.subject import Subject
from buildcheck.core.value import NotApplicable, Undecided, Value, derive, exact
from buildcheck.formulas.next_trial import finer_by, next_trial
from buildcheck.formulas.pad_tip import pad_tip_centre, pad_tip_rise_to_centre
from buildcheck.formulas.zero_lash import valve_held_open_by_lowered_pivot
from buildcheck.ordering.allowed_lengths import significant_pivot_error
from buildcheck.quantities import height_trials, lengths, pivot_height, pivot_motion, pushrod_inclination
from buildcheck.record import Record, replace
from buildcheck.registry import length_spread as spread
from buildcheck.rules.judging import decision

Action = Literal[
    "change height", "change length", "clear the retainer", "fill in", "finer gauge", "mark again",
    "move the centre", "none", "read contacts", "repeat", "take a mark", "wider tip",
]  # fmt: skip

RAN_OFF = "the mark ran off the tip, so this is only a first step"
NOTHING_LEFT = "the mark ran off the tip, and no shim centres it"
SPREAD_OPEN = "the mark is good, but its length is too uncertain for the spread of the lengths"
MOST_SHIM = 0.120 * 0.0254
"""More than this under a pedestal, m, means wrong parts: common practice, no published source."""

SHIM_STEP = {"inch": 0.005 * 0.0254, "metric": 0.1e-3}
"""Step of the sizes that shims are stacked to, m: common practice, no published source."""

OUT_OF_REACH = "the checking pushrod does not reach that length"


class Step(Record):
    """What to do next; lengths in m.

    ``trial`` is the number of the one to repeat. ``height`` is how far the pivot should rise: on a fixed mount
    a shim (negative: metal off, or a lash cap). ``length`` is the change of pushrod that goes with it (with a
    lash cap, ``length_with_cap``), ``reading`` what the gauge then shows over the checker, ``turns`` those of
    the checker (out is positive), ``turns_in_all`` where they then stand. With "read contacts" they
    are the trial that may serve instead. ``good_to``: the reading's uncertainty that would settle it.
    ``may_stay``: on a fixed mount, the order does not wait for it. ``held_open``: where a fixed pivot comes down, how
    far a solid lifter would then hold the valve open over the same checking pushrod.
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
    may_stay: bool = False
    held_open: float | None = None
    wrong_parts: bool = False
    shim: float | None = None


def roller_step(facts: Facts, subject: Subject) -> Step:
    """The next step on a valve with a roller tip. Raises NotApplicable or Undecided without a mark."""
    _refuse_unread(facts, subject)
    free = facts.pivot_is_free
    allowed = facts.bound("pivot_height_adjustable" if free else "pivot_height_fixed", subject).si
    if _good_enough(facts, subject, allowed):
        return Step("none")
    try:
        fit, read = pivot_height.fit(facts, subject), height_trials.readings(facts, subject)
        found = next_trial(fit, read, height_trials.roller(facts, subject), good_enough=0.0)
    except ValueError as refused:
        raise Undecided(str(refused)) from refused
    match found.action:
        case "repeat":
            assert found.trial is not None
            numbers = [trial.number for trial in height_trials.fitted_trials(facts, subject)]
            return Step("repeat", facts.get("trials_in_doubt", subject).remark, numbers[found.trial])
        case "read contacts":
            probe = permitted_probe(facts, subject, found.height) if found.height is not None else None
            return _moved(facts, subject, Step("read contacts"), exact(probe, "length") if probe else None)
        case "centring trial":
            error, stays = (
                facts.get("height_error", subject),
                not free and significant_pivot_error(facts, subject) is None,
            )
            return _moved(facts, subject, Step("change length" if free else "change height", may_stay=stays), error)
        case "finer gauge":
            return Step("finer gauge", good_to=_good_to(facts, subject, allowed))
        case "none":
            return Step("none")


def pad_tip_step(facts: Facts, subject: Subject) -> Step:
    """The next step on a valve with a plain tip: its mark is to be centred. Raises Undecided without a mark."""
    offset = facts.get("mark_offset", subject)
    limits = [facts.bound(name, subject).si for name in ("mark_centre_limit", "mark_target")]
    off = abs(offset.si) + offset.expanded
    on_tip = facts.get("mark_edge_margin", subject).si > 0
    if off <= min(limits):
        return Step("none" if on_tip else "wider tip")
    free = facts.pivot_is_free
    action: Action = "change length" if free else "change height"
    if not on_tip:
        rise = _first_rise(facts, subject)
        return _moved(facts, subject, Step(action, RAN_OFF), rise) if rise else Step("move the centre", NOTHING_LEFT)
    if abs(offset.si) <= offset.expanded:
        return Step("finer gauge", good_to=max(min(limits) - abs(offset.si), 0.0) or None)
    stays = not free and off <= limits[0]
    try:
        pivot_motion.refuse_out_of_reach(facts, subject)
    except pivot_motion.OutOfReach as refused:
        return Step("move the centre", refused.reason, may_stay=stays)
    return _moved(facts, subject, Step(action, may_stay=stays), pivot_motion.pad_tip_raise(facts, subject))


def spread_step(facts: Facts, subject: Subject) -> Step | None:
    """Contact lines where the width alone leaves this valve's length too uncertain to determine the spread."""
    valve_type, free = Subject(None, subject.valve), facts.pivot_is_free
    if not free or not facts.is_roller or any(trial.contacts for trial in trials(facts, subject)):
        return None
    found, limit = facts.get_or_none("length_spread", valve_type), facts.bound("length_spread_limit", valve_type)
    if found is None or subject not in spread.ends_of_spread(facts, valve_type):
        return None
    return Step("read contacts", SPREAD_OPEN) if decision(found, {"at_most": limit})[0] == "open" else None


def turns_of_nut(facts: Facts, subject: Subject) -> float | None:
    """Turns of the adjuster past zero lash that give the preload written or aimed at."""
    try:
        each, turns = facts.get("preload_per_turn", subject), lengths.adjuster_turns(facts, subject)
        if turns is not None:
            return turns.si
        return lengths.preload_aim(facts).si / each.si if facts.is_hydraulic else None
    except (NotApplicable, Undecided):
        return None


def _first_rise(facts: Facts, subject: Subject) -> Value | None:
    """A rise computed from what a mark that ran off left on the tip; None where it takes a shim and none centres it."""
    edges, offset = last_mark(facts, subject).mark, facts.get("mark_offset", subject)
    arm, lift, lean = pivot_motion.rocker_and_lean(facts, subject)
    assert edges is not None
    left = (arm.si, lift.si, edges[1].si - edges[0].si, offset.si, lean.si)
    try:
        rise = pad_tip_rise_to_centre(*left)
        reached = abs(pad_tip_centre(*left, rise)) < 1e-9
    except ValueError as refused:
        raise Undecided(str(refused)) from refused
    return exact(rise, "length") if reached or facts.pivot_is_free else None


def _refuse_unread(facts: Facts, subject: Subject) -> None:
    """The height error's own reasons, but for those that a step answers."""
    try:
        facts.get("height_error", subject)
    except Undecided:
        if not any(trial.shows_height_error for trial in trials(facts, subject)):
            raise


def _good_enough(facts: Facts, subject: Subject, allowed: float) -> bool:
    """Whether the rule on the height error passes: no trial need follow."""
    try:
        error = facts.get("height_error", subject)
    except Undecided:
        return False
    return abs(error.si) + error.expanded <= allowed


def _moved(facts: Facts, subject: Subject, step: Step, rise: Value | None) -> Step:
    """The step with what goes along with a rise of the pivot: rod, reading, turns; on a fixed mount no other rod."""
    if rise is None:
        return step
    free = facts.pivot_is_free
    if not free and step.action == "change height":
        step = replace(step, wrong_parts=abs(rise.si) > MOST_SHIM + 1e-9, shim=stock_size(facts, rise.si))
    factor, ratio = pushrod_inclination.length_per_height(facts, subject), facts.field("rockers.ratio", subject)
    length = derive("length", lambda q, f: q * f, rise, factor)
    step = replace(step, height=rise, length=length)
    if not free:
        return _lowered(step, rise, ratio) if rise.si < 0 else step
    stood = height_trials.reference_trial(facts, subject).length
    if stood is None:
        return step
    name = height_trials.reference_trial(facts, subject).checker
    reading = stood.si + length.si - measured_on_checker(facts, exact(0.0, "length"), name).si
    path = f"pushrods.checkers.{name}" if name else "pushrods.checker"
    if facts.node(path) is None:
        return replace(step, reading=reading)
    pitch, zero = facts.pitch(f"{path}.thread").si, facts.field(f"{path}.length_at_zero_turns").si
    in_all = (reading - zero) / pitch
    if not in_checker_range(facts, subject, length.si):
        step = replace(step, why=OUT_OF_REACH)
    return replace(step, reading=reading, turns=length.si / pitch, turns_in_all=in_all)


def _lowered(step: Step, rise: Value, ratio: Value) -> Step:
    """A pivot that comes down, or a lash cap of as much: how far a solid lifter would then hold the valve open."""
    cap = derive("length", lambda q, r: q / r, rise, ratio)
    held = valve_held_open_by_lowered_pivot(abs(rise.si), ratio.si)
    return replace(step, length_with_cap=cap, held_open=held)


def stock_size(facts: Facts, shim: float) -> float | None:
    """The nearest size to which shims can be stacked, m; None for metal to remove."""
    size = SHIM_STEP[facts.system]
    return max(round(shim / size), 1) * size if shim > 0 else None


def _good_to(facts: Facts, subject: Subject, allowed: float) -> float | None:
    """How small the expanded uncertainty of each reading on the tip must be for the height error to clear its limit."""
    read = height_trials.readings(facts, subject)
    share = finer_by(read, height_trials.roller(facts, subject), allowed)
    return 2 * share * max(trial.u_edge for trial in read) if share else None
