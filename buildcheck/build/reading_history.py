"""What became of readings between two versions of a build: parts that changed under them, and changed trials."""

from __future__ import annotations

from collections.abc import Iterator

from buildcheck.build.carried_motion import voids_motion
from buildcheck.build.clearance_readings import MEASURED, depends_on
from buildcheck.build.facts import Facts
from buildcheck.build.motion_readings import motion_entries
from buildcheck.build.states import CAP, CAP_DIAMETER, LISTED, NONE_FITTED, SHIM, differs, now, states, title, was
from buildcheck.build.trials import valve_entry, void_readings
from buildcheck.core.problem import Place, Problem
from buildcheck.core.subject import Subject
from buildcheck.record import Record
from buildcheck.units.quantity import QuantityError, parse
from buildcheck.yamlio.documents import Node

NOT_READ = frozenset({"note", "part", "on", "by", "void", "state"})
"""Keys of a reading that are no part of what was read."""

OWN = {SHIM: "shim", CAP: "lash_cap", CAP_DIAMETER: "lash_cap"}
"""Parts that a trial can give itself, so that another part of today does not concern it."""

RESOLVE = (
    "If the part was changed, add states with the old and the new value. If the readings no longer apply, give the "
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


class ChangedTrial(Record):
    """A trial that became void, was rewritten or was removed; its place is the new one, else the old one."""

    subject: Subject
    number: int
    what: str
    place: Place

    @property
    def text(self) -> str:
        """What became of it."""
        return f"{self.subject.text}, trial {self.number}: {self.what}"


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
    return f"{len(subjects)} valve{'s' if subjects[1:] else ''}"


def corrected_parts(before: Facts, after: Facts) -> list[ChangedPart]:
    """Parts with a value that was corrected in a state: the readings count as taken with the new value."""
    found: dict[tuple[str, str, str, str, Place], list[Subject]] = {}
    old = {state.name: state for state in states(before)}
    for state in (state for state in states(after) if state.name in old):
        for path in LISTED:
            for subject in after.subjects("valve"):
                then, today = was(before, old[state.name], path, subject), was(after, state, path, subject)
                words = differs(after, path, then, today) if then is not None and today is not None else None
                stayed = _stayed(before, after, path, subject) or _motion_stayed(before, after, path, subject)
                if words is not None and today is not None and stayed:
                    found.setdefault((path, state.name, *words, today.place), []).append(subject)
    return [
        ChangedPart(
            path.replace("{valve}", valves[0].valve or ""), old_text, new_text, place, tuple(valves), corrected=state
        )
        for (path, state, old_text, new_text, place), valves in found.items()
    ]


def _is_kept(before: Facts, after: Facts, key: str, subject: Subject) -> bool:
    """Whether a valve has a reading of a clearance, the same as before."""
    then, today = (facts.node(f"clearances.{{valve}}.{key}", subject) for facts in (before, after))
    return then is not None and today is not None and _read(then) == _read(today)


def _change(before: Facts, after: Facts, path: str, subject: Subject) -> tuple[str, str, Place] | None:
    """A part then and now, in words; a shim or cap that is not entered is none, any other part is unknown."""
    then, today = now(before, path, subject), now(after, path, subject)
    given = today or then
    if given is None or _known(after, path, subject):
        return None
    if path in NONE_FITTED:
        none = Node(given.place, "0 deg" if NONE_FITTED[path] == "angle" else "0 in")
        then, today = then or none, today or none
    words = differs(after, path, then, today) if then is not None and today is not None else None
    return (*words, given.place) if words is not None else None


def _known(after: Facts, path: str, subject: Subject) -> bool:
    """Whether the states account for a part: the last one gives it."""
    return bool(states(after)) and was(after, states(after)[-1], path, subject) is not None


def _stayed(before: Facts, after: Facts, path: str, subject: Subject) -> bool:
    """Whether a trial that counts, and does not give the part itself, is as it was."""
    replaced_by, void = OWN.get(path), {reading.number for reading in void_readings(after, subject)}
    was_read = [_read(trial) for trial in _trials(before, subject)]
    return any(
        _read(trial) in was_read and number not in void and (replaced_by is None or trial.get(replaced_by) is None)
        for number, trial in enumerate(_trials(after, subject), 1)
    )


def _motion_stayed(before: Facts, after: Facts, path: str, subject: Subject) -> bool:
    """Whether readings of motion that depend on a part are as they were."""
    earlier = [_read(entry) for entry in motion_entries(before, subject)]
    return any(voids_motion(entry, path) and _read(entry) in earlier for entry in motion_entries(after, subject))


def changed_trials(before: Facts, after: Facts) -> Iterator[ChangedTrial]:
    """Trials that became void, with the reason, were rewritten or were removed."""
    for subject in after.subjects("valve"):
        yield from _became_void(before, after, subject)
        yield from _not_as_before(before, after, subject)


def _became_void(before: Facts, after: Facts, subject: Subject) -> Iterator[ChangedTrial]:
    voided = {reading.number for reading in void_readings(before, subject)}
    was_void = [_read(trial) for number, trial in enumerate(_trials(before, subject), 1) if number in voided]
    new = _trials(after, subject)
    for reading in void_readings(after, subject):
        if _read(new[reading.number - 1]) not in was_void:
            yield ChangedTrial(subject, reading.number, f"now void, {reading.reason}", reading.place)


def _not_as_before(before: Facts, after: Facts, subject: Subject) -> Iterator[ChangedTrial]:
    """Trials that are gone; one that another took the place of was rewritten."""
    old, new = _trials(before, subject), _trials(after, subject)
    was_read, is_read = [_read(trial) for trial in old], [_read(trial) for trial in new]
    for number, trial in enumerate(old, 1):
        if was_read[number - 1] in is_read:
            continue
        if number <= len(new) and is_read[number - 1] not in was_read:
            yield ChangedTrial(subject, number, "rewritten", new[number - 1].place)
        else:
            yield ChangedTrial(subject, number, "removed", trial.place)


def _trials(facts: Facts, subject: Subject) -> list[Node]:
    entry = valve_entry(facts, subject)
    node = entry.get("trials") if entry is not None else None
    return node.items if node is not None else []


def _read(node: Node) -> object:
    """What a reading says, however it is written: its keys in any order, its lengths and angles in any unit."""
    if node.entries:
        return {key: _read(child) for key, child in node.entries.items() if key not in NOT_READ}
    if node.items:
        return [_read(child) for child in node.items]
    for kind in ("length", "angle") if isinstance(node.value, str) else ():
        try:
            amount = parse(str(node.value), kind)
        except QuantityError:
            continue
        return kind, amount.si, amount.expanded
    return str(node.value)
