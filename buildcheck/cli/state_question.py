"""Parts that differ from the last state: options or a question at the terminal decide what happened to them."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from functools import partial

from buildcheck.build.facts import Facts
from buildcheck.build.new_reading import CLEARANCES, MARKS, MOTION, Edit
from buildcheck.build.part_changes import (
    Correction,
    NewState,
    PartChange,
    name_state_of_clearances,
    name_state_of_valves,
    parts_today,
)
from buildcheck.build.states import states
from buildcheck.build.trials import measured
from buildcheck.cli.typed_reading import UnusableError
from buildcheck.record import Record

FIRST = "as measured"
"""Name of a first state that nobody named."""
Edits = dict[str, list[Edit]]
"""The changes of each file, in their order."""


class Changes(Record):
    """What was changed: parts that differ from the last state; without states, the build as last committed.

    ``committed`` is None unless parts have changed since then under readings that stayed.
    """

    parts: Sequence[PartChange]
    committed: Facts | None = None


def state_edits(facts: Facts, found: Changes, name: str, corrected: Sequence[str]) -> tuple[str, Edits]:
    """The state that a new reading must name (empty if there is only one), and the edits that keep the states.

    ``name``: of a new state; ``corrected``: paths of parts that were measured again. What they leave open is asked
    at a terminal; without one, UnusableError names the options.
    """
    known, changes = [state.name for state in states(facts)], found.parts
    if corrected and not known:
        return _first_state(facts, name or FIRST, corrected)
    if unknown := [path for path in corrected if path not in {change.path for change in changes}]:
        raise UnusableError(f"--correct {unknown[0]}: this part does not differ from the last state")
    if name and known and not changes and name != known[-1]:
        raise UnusableError("--state: no part differs from the last state. Enter cuts and swaps under 'changes'")
    left = [change for change in changes if change.path not in corrected]
    if left and not name:
        name, measured_again = _ask_for_state(left)
        left = [change for change in left if change.path not in measured_again]
    again = [change for change in changes if change not in left]
    edits: Edits = {MARKS: [Correction(change.path, change.now).edit for change in again]} if again else {}
    if (left or not known) and name:
        new = NewState(name, parts_today(facts, states(facts)[-1] if known else None))
        if found.committed is not None and not known:
            return name, _two_states(facts, NewState(FIRST, parts_today(found.committed, None)), new)
        return _with_new_state(facts, new, edits)
    return (known[-1] if len(known) > 1 else ""), edits


def first_state_note(facts: Facts, name: str, committed: Facts | None) -> str:
    """What a first state means for the trials that were entered before it; empty without such trials."""
    if not name or states(facts) or not any(measured(facts, subject) for subject in facts.subjects("valve")):
        return ""
    if committed is not None:
        return (
            f"Parts changed since the last commit: state {FIRST!r} has its parts and all earlier readings, state "
            f"{name!r} the parts of today."
        )
    return (
        f"State {name!r} is the first one: all earlier readings now count as taken with the parts of today. "
        "Mark those that were taken with other parts as void."
    )


def _first_state(facts: Facts, name: str, corrected: Sequence[str]) -> tuple[str, Edits]:
    """Without states, a corrected part enters the first one: all readings were taken with the values of today."""
    parts = parts_today(facts, None)
    if unknown := [path for path in corrected if path not in parts]:
        raise UnusableError(f"--correct {unknown[0]}: no reading depends on it; one of {', '.join(parts)}")
    return "", {MARKS: [NewState(name, parts).edit]}


def _two_states(facts: Facts, first: NewState, new: NewState) -> Edits:
    """Without states: the parts of the last commit, to which all readings belong, and the parts of today."""
    return _of_earlier_readings(facts, first.name) | {MARKS: [first.edit, new.edit]}


def _with_new_state(facts: Facts, state: NewState, edits: Edits) -> tuple[str, Edits]:
    known = states(facts)
    earlier = _of_earlier_readings(facts, known[0].name) if len(known) == 1 else {}
    return (state.name if known else ""), earlier | {MARKS: [*edits.get(MARKS, []), state.edit]}


def _of_earlier_readings(facts: Facts, state: str) -> Edits:
    """The edits by which readings outside marks.yaml that name no state get the name of the one before."""
    edits: Edits = {CLEARANCES: [partial(name_state_of_clearances, state=state)]}
    edits[MOTION] = [partial(name_state_of_valves, state=state)]
    return {file: each for file, each in edits.items() if facts.node(file.removesuffix(".yaml")) is not None}


def _ask_for_state(changes: Sequence[PartChange]) -> tuple[str, list[str]]:
    """The name of a new state, empty if none is needed, and the paths of parts that were measured again."""
    if not sys.stdin.isatty():
        paths = ", ".join(f"--correct {change.path}" for change in changes)
        what = "; ".join(_changed(change) for change in changes)
        raise UnusableError(f"{what}. For a new part add --state NAME; if it was measured again, add {paths}")
    again = [
        change.path
        for change in changes
        if _answer(f"{_changed(change)}. New part, or the same part measured again?") == "again"
    ]
    return ("" if len(again) == len(changes) else _line("Name of the new state, such as heads milled: ")), again


def _changed(change: PartChange) -> str:
    return f"changed: {change.title} {change.then_shown} -> {change.now_shown}"


def _answer(question: str) -> str:
    while True:
        word = _line(f"{question} (new/again) ")
        if word in ("new", "again"):
            return word


def _line(prompt: str) -> str:
    """One answer; ended input is no answer. Raises UnusableError for it."""
    sys.stdout.write(prompt)
    sys.stdout.flush()
    line = sys.stdin.readline()
    if not line.strip():
        if not line:
            raise UnusableError("the input ended before the question was answered")
        return _line(prompt)
    return line.strip()
