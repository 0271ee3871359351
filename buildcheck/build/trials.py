"""The trials of one valve: those read, those carried over to the engine as it is now, and the last ones."""

from __future__ import annotations

from collections.abc import Sequence

from buildcheck.build.brackets import bracketed
from buildcheck.build.carried_trials import as_it_is_now, carried_over, needs_prediction
from buildcheck.build.facts import Facts
from buildcheck.build.stand_in_lifters import on_lifter_of, stands_in
from buildcheck.build.states import state_of, states, void_since
from buildcheck.build.trial import Trial, VoidReading
from buildcheck.build.trial_reading import NO_LENGTH, read_trial
from buildcheck.core.plural import plural
from buildcheck.core.problem import Place
from buildcheck.core.reason import Cause
from buildcheck.core.subject import BUILD, Subject, valves_of_type
from buildcheck.core.value import Contradiction, NotApplicable, Undecided
from buildcheck.record import replace
from buildcheck.yamlio.documents import Node

NONE_OF_ITS_TYPE = Cause("cylinders_to_measure", BUILD)
"""Why a valve has no readings and no others to match; its subject is the valve type."""


def valve_entry(facts: Facts, subject: Subject) -> Node | None:
    """The valve's entry in marks.yaml: the first one."""
    return facts.once("entries", _by_valve, facts).get((str(subject.cylinder), subject.valve or ""))


def _by_valve(facts: Facts) -> dict[tuple[str, str], Node]:
    valves = facts.node("marks.valves")
    entries = reversed(valves.items) if valves is not None else ()
    return {(entry.word("cylinder"), entry.word("valve")): entry for entry in entries}


def trials(facts: Facts, subject: Subject) -> tuple[Trial, ...]:
    """All trials of a valve, in order.

    Raises NotApplicable for a valve that was not measured while another of its type was (a rule
    requires it from a later stage on), Undecided where none of its type was.
    """
    if found := facts.once(("trials", subject), _read, facts, subject):
        return found
    if any(measured(facts, other) for other in same_type(facts, subject)):
        raise NotApplicable("not measured, assumed to match the measured valves of its type")
    marks = facts.node("marks")
    places = (marks.place,) if marks is not None else (Place("build.yaml"),)
    void = "; ".join(void_causes(facts, subject))
    what = f"no {subject.valve} reading applies: {void}" if void else f"no {subject.valve} valve is measured yet"
    raise Undecided(f"{what} (marks.yaml)", places, NONE_OF_ITS_TYPE._replace(subject=Subject(None, subject.valve)))


def last_marked(valve_trials: Sequence[Trial]) -> Trial:
    """The last trial with a mark; the last of all if none has one."""
    return next(
        (trial for trial in reversed(valve_trials) if trial.mark is not None or trial.predicted), valve_trials[-1]
    )


def last_with_length(facts: Facts, subject: Subject) -> Trial:
    """The last trial that zero lash was found on; the last of all where it was found on none."""
    return _with_length(trials(facts, subject))


def why_no_length(valve_trials: Sequence[Trial]) -> Undecided:
    """Why no trial of a valve has a length: what hinders the last one that was read, else that none was."""
    obstructed = [trial.length_reason for trial in valve_trials if trial.length_reason.reason != NO_LENGTH]
    return (obstructed or [valve_trials[-1].length_reason])[-1].copy_without_traceback()


def same_type(facts: Facts, subject: Subject) -> Sequence[Subject]:
    """All valves of the subject's type."""
    return valves_of_type(subject.valve, facts.cylinders)


def trial_nodes(facts: Facts, subject: Subject) -> list[Node]:
    """The trials of a valve in marks.yaml, void ones included."""
    entry = valve_entry(facts, subject)
    node = entry.get("trials") if entry is not None else None
    return node.items if node is not None else []


def marked(facts: Facts, subject: Subject) -> bool:
    """Whether a trial of the valve has a mark, read or predicted."""
    return measured(facts, subject) and any(one.mark or one.predicted for one in trials(facts, subject))


def measured(facts: Facts, subject: Subject) -> bool:
    """Whether the valve has a trial that is not void."""
    return facts.once(("measured", subject), _is_measured, facts, subject)


def _is_measured(facts: Facts, subject: Subject) -> bool:
    return len(void_readings(facts, subject)) < len(trial_nodes(facts, subject))


ASSUMED_TO_APPLY = "marks.yaml lists no states of the engine: its readings are assumed to apply to the present parts"


def assumed_to_apply(facts: Facts) -> bool:
    """Whether there are readings of valves and no states that show which parts they were taken with."""
    return not states(facts) and any(measured(facts, subject) for subject in facts.subjects("valve"))


def void_readings(facts: Facts, subject: Subject) -> tuple[VoidReading, ...]:
    """The trials of a valve that are void: by what changed since, or as the file states."""
    return facts.once(("void", subject), _void, facts, subject)


def _void(facts: Facts, subject: Subject) -> tuple[VoidReading, ...]:
    entry, found = valve_entry(facts, subject), []
    for number, trial in enumerate(trial_nodes(facts, subject), 1):
        reason = trial.word("void")
        if not reason and (since := void_since(facts, subject, state_of(facts, trial, entry))) is not None:
            reason = since.reason
        if reason:
            found.append(VoidReading(subject, number, reason, trial.place, not trial.word("void")))
    return tuple(found)


def void_causes(facts: Facts, subject: Subject) -> list[str]:
    """Which cylinders of a valve type have void readings alone, and why: one text for each cause."""
    causes: dict[str, list[str]] = {}
    for other in same_type(facts, subject):
        void = void_readings(facts, other)
        if void and not measured(facts, other):
            causes.setdefault(void[-1].reason, []).append(str(other.cylinder))
    return [f"{plural(len(of), 'cylinder')} {', '.join(of)}: readings void, {reason}" for reason, of in causes.items()]


def _read(facts: Facts, subject: Subject) -> tuple[Trial, ...]:
    entry = valve_entry(facts, subject)
    void = {one.number for one in void_readings(facts, subject)}
    read = [
        _carried(facts, subject, entry, trial, read_trial(facts, subject, entry, trial, number))
        for number, trial in enumerate(trial_nodes(facts, subject), 1)
        if number not in void
    ]
    closed = bracketed(facts, read)
    on_one_lifter = [on_lifter_of(facts, _with_length(closed), trial) for trial in closed]
    return (*on_one_lifter, as_it_is_now(on_one_lifter)) if needs_prediction(on_one_lifter) else tuple(on_one_lifter)


def _carried(facts: Facts, subject: Subject, entry: Node | None, node: Node, trial: Trial) -> Trial:
    """The trial on the engine as it is now; without a length if that cannot be computed."""
    try:
        state = state_of(facts, node, entry)
        return carried_over(facts, subject, trial, state, trial.cup_height is not None or stands_in(facts, trial))
    except Contradiction:
        raise
    except Undecided as reason:
        return replace(trial, length=None, length_reason=reason.copy_without_traceback())


def _with_length(group: Sequence[Trial]) -> Trial:
    return next((trial for trial in reversed(group) if trial.length is not None), group[-1])
