"""Trials between two versions of a build: those that became void, were rewritten or were removed."""

from __future__ import annotations

from collections.abc import Iterator

from buildcheck.build.facts import Facts
from buildcheck.build.trials import trial_nodes, void_readings
from buildcheck.core.problem import Place
from buildcheck.core.subject import Subject
from buildcheck.record import Record
from buildcheck.units.quantity import QuantityError, parse
from buildcheck.yamlio.documents import Node

NOT_READ = frozenset({"note", "part", "on", "by", "void", "state"})
"""Keys of a reading that are no part of what was read."""


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


def changed_trials(before: Facts, after: Facts) -> Iterator[ChangedTrial]:
    """Trials that became void, with the reason, were rewritten or were removed."""
    for subject in after.subjects("valve"):
        yield from _became_void(before, after, subject)
        yield from _not_as_before(before, after, subject)


def _became_void(before: Facts, after: Facts, subject: Subject) -> Iterator[ChangedTrial]:
    voided = {reading.number for reading in void_readings(before, subject)}
    was_void = [as_read(trial) for number, trial in enumerate(trial_nodes(before, subject), 1) if number in voided]
    new = trial_nodes(after, subject)
    for reading in void_readings(after, subject):
        if as_read(new[reading.number - 1]) not in was_void:
            yield ChangedTrial(subject, reading.number, f"now void, {reading.reason}", reading.place)


def _not_as_before(before: Facts, after: Facts, subject: Subject) -> Iterator[ChangedTrial]:
    """Trials that are gone; one that another took the place of was rewritten."""
    old, new = trial_nodes(before, subject), trial_nodes(after, subject)
    was_read, is_read = [as_read(trial) for trial in old], [as_read(trial) for trial in new]
    for number, trial in enumerate(old, 1):
        if was_read[number - 1] in is_read:
            continue
        if number <= len(new) and is_read[number - 1] not in was_read:
            yield ChangedTrial(subject, number, "rewritten", new[number - 1].place)
        else:
            yield ChangedTrial(subject, number, "removed", trial.place)


def as_read(node: Node) -> object:
    """What a reading says, however it is written: its keys in any order, its lengths and angles in any unit."""
    if node.entries:
        return {key: as_read(child) for key, child in node.entries.items() if key not in NOT_READ}
    if node.items:
        return [as_read(child) for child in node.items]
    for kind in ("length", "angle") if isinstance(node.value, str) else ():
        try:
            amount = parse(str(node.value), kind)
        except QuantityError:
            continue
        return kind, amount.si, amount.expanded
    return str(node.value)
