"""Parts that changed between two versions of a build while readings that depend on them stayed as they are."""

from __future__ import annotations

from collections.abc import Iterator

from buildcheck.build.carried_motion import voids_motion
from buildcheck.build.changed_trials import as_read
from buildcheck.build.clearance_readings import MEASURED, clearance_state, depends_on
from buildcheck.build.facts import Facts
from buildcheck.build.motion_readings import motion_entries
from buildcheck.build.states import (
    CAP,
    CAP_DIAMETER,
    LISTED,
    NONE_FITTED,
    SHIM,
    State,
    differs,
    now,
    state_of,
    states,
    title,
    was,
)
from buildcheck.build.trials import trial_nodes, valve_entry, void_readings
from buildcheck.core.plural import counted
from buildcheck.core.problem import Place, Problem
from buildcheck.core.subject import Subject
from buildcheck.record import Record
from buildcheck.yamlio.documents import Node

OWN = {SHIM: "shim", CAP: "lash_cap", CAP_DIAMETER: "lash_cap"}
"""Parts that a trial can give itself, so that another part of today does not concern it."""

RESOLVE = (
    "If the part was changed, add states with the old and the new value: 'buildcheck record BUILD --state NAME'. "
    "If the readings no longer apply, give the "
    "trials `void` and delete the clearances. If the old value was a typing error, run 'buildcheck record BUILD "
    "--correct {path}', which enters one state with the new value"
)


class ChangedPart(Record):
    """A part that readings depend on and that changed while they stayed as they are: its new place.

    ``subjects``: the valves with trials that stayed; ``clearances``: the names of the clearances that did;
    ``motion``: the valves with readings in motion.yaml that did;
    ``corrected``: the name of the state in which the value was corrected, empty if no state has it.
    """

    path: str
    before: str
    after: str
    place: Place
    subjects: tuple[Subject, ...]
    clearances: tuple[str, ...] = ()
    motion: tuple[Subject, ...] = ()
    corrected: str = ""

    @property
    def title(self) -> str:
        """The part's name in trade words."""
        return title(self.path)

    @property
    def text(self) -> str:
        """What changed, in one sentence."""
        trials = f"readings of {_valves(self.subjects)}" if self.subjects else ""
        motion = f"readings of motion of {_valves(self.motion)}" if self.motion else ""
        stayed = " and ".join(filter(None, (trials, ", ".join(self.clearances), motion)))
        return f"{self.title} changed from {self.before} to {self.after}, but {stayed} stay as they are"

    @property
    def problem(self) -> Problem:
        """The same as a problem, with the ways to resolve it."""
        return Problem(self.place, self.path.partition(".")[2], f"{self.text}. {RESOLVE.format(path=self.path)}")


def changed_parts(before: Facts, after: Facts) -> list[ChangedPart]:
    """Parts that changed while readings that depend on them stayed; none that the last state gives.

    A state that gives a part is the better witness: a file that differs from it is an error of its own.
    """
    return [part for path in LISTED for part in _changed(before, after, path)]


def _changed(before: Facts, after: Facts, path: str) -> Iterator[ChangedPart]:
    """One part, once for each value before and after that it has on some valves."""
    each: dict[tuple[str, str, Place], list[Subject]] = {}
    for subject in after.subjects("valve"):
        if (change := _change(before, after, path, subject)) is not None:
            each.setdefault(change, []).append(subject)
    for change, changed in each.items():
        valves = tuple(one for one in changed if _stayed(before, after, path, one))
        clearances = [key for key in MEASURED if depends_on(key, path)]
        kept = tuple(key for key in clearances if any(_is_kept(before, after, key, one) for one in changed))
        motion = tuple(one for one in changed if _motion_stayed(before, after, path, one))
        if valves or kept or motion:
            yield ChangedPart(path.replace("{valve}", changed[0].valve or ""), *change, valves, kept, motion)


def _valves(subjects: tuple[Subject, ...]) -> str:
    return counted(len(subjects), "valve")


def corrected_parts(before: Facts, after: Facts) -> list[ChangedPart]:
    """Parts for which a state gives another value than the readings were taken with before: each counts as corrected.

    The value before is the one of the state that the reading named then; without states that of the part's own file.
    """
    if not states(after):
        return []
    found: dict[tuple[str, str, str, str, Place], list[Subject]] = {}
    for path in LISTED:
        for subject in after.subjects("valve"):
            for was_in, is_in in _same_readings(before, after, path, subject):
                today = was(after, is_in, path, subject)
                if today is None:
                    continue
                then = (
                    was(before, was_in, path, subject) if was_in is not None else _in_file(before, path, subject, today)
                )
                if then is not None and (words := differs(after, path, then, today)) is not None:
                    valves = found.setdefault((path, is_in.name, *words, today.place), [])
                    valves += [subject] if subject not in valves else []
    return [
        ChangedPart(
            path.replace("{valve}", valves[0].valve or ""), old_text, new_text, place, tuple(valves), corrected=state
        )
        for (path, state, old_text, new_text, place), valves in found.items()
    ]


def _same_readings(before: Facts, after: Facts, path: str, subject: Subject) -> Iterator[tuple[State | None, State]]:
    """The states then and now of each reading that stayed and that depends on a part."""
    key, void = OWN.get(path), {one.number for one in void_readings(after, subject) if not one.by_change}
    old_entry, new_entry = valve_entry(before, subject), valve_entry(after, subject)
    old = [(as_read(trial), state_of(before, trial, old_entry)) for trial in trial_nodes(before, subject)]
    new = [
        (as_read(trial), state_of(after, trial, new_entry))
        for number, trial in enumerate(trial_nodes(after, subject), 1)
        if number not in void and (key is None or trial.get(key) is None)
    ]
    old += [(as_read(entry), state_of(before, entry)) for entry in motion_entries(before, subject)]
    new += [
        (as_read(entry), state_of(after, entry))
        for entry in motion_entries(after, subject)
        if voids_motion(entry, path)
    ]
    for read, state in old:
        same = [later for later_read, later in new if later_read == read and later is not None]
        if same:
            yield state, next((one for one in same if state is not None and one.name == state.name), same[0])
    for name in (name for name in MEASURED if depends_on(name, path) and _is_kept(before, after, name, subject)):
        if (state := clearance_state(after, f"clearances.{{valve}}.{name}", subject)) is not None:
            yield clearance_state(before, f"clearances.{{valve}}.{name}", subject), state


def _is_kept(before: Facts, after: Facts, key: str, subject: Subject) -> bool:
    """Whether a valve has a reading of a clearance, the same as before."""
    then, today = (facts.node(f"clearances.{{valve}}.{key}", subject) for facts in (before, after))
    return then is not None and today is not None and as_read(then) == as_read(today)


def _change(before: Facts, after: Facts, path: str, subject: Subject) -> tuple[str, str, Place] | None:
    """A part then and now, in words; a shim or cap that is not entered is none, any other part is unknown."""
    given = now(after, path, subject) or now(before, path, subject)
    if given is None or _known(after, path, subject):
        return None
    then, today = (_in_file(facts, path, subject, given) for facts in (before, after))
    words = differs(after, path, then, today) if then is not None and today is not None else None
    return (*words, given.place) if words is not None else None


def _in_file(facts: Facts, path: str, subject: Subject, like: Node) -> Node | None:
    """A part in its own file; a part that is left out and then not fitted has the size zero, at another's place."""
    found = now(facts, path, subject)
    if found is None and path in NONE_FITTED:
        return Node(like.place, "0 deg" if NONE_FITTED[path] == "angle" else "0 in")
    return found


def _known(after: Facts, path: str, subject: Subject) -> bool:
    """Whether the states account for a part: the last one gives it."""
    return bool(states(after)) and was(after, states(after)[-1], path, subject) is not None


def _stayed(before: Facts, after: Facts, path: str, subject: Subject) -> bool:
    """Whether a trial that counts, and does not give the part itself, has not changed."""
    replaced_by, void = OWN.get(path), {reading.number for reading in void_readings(after, subject)}
    was_read = [as_read(trial) for trial in trial_nodes(before, subject)]
    return any(
        as_read(trial) in was_read and number not in void and (replaced_by is None or trial.get(replaced_by) is None)
        for number, trial in enumerate(trial_nodes(after, subject), 1)
    )


def _motion_stayed(before: Facts, after: Facts, path: str, subject: Subject) -> bool:
    """Whether readings of motion that depend on a part are as they were."""
    earlier = [as_read(entry) for entry in motion_entries(before, subject)]
    return any(voids_motion(entry, path) and as_read(entry) in earlier for entry in motion_entries(after, subject))
