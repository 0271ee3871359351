"""Parts that changed while the readings taken with the old ones stayed as they were."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from buildcheck.app.build_check import CheckedBuild
from buildcheck.build import states
from buildcheck.build.facts import Facts
from buildcheck.core.problem import Place
from buildcheck.core.subject import Subject
from buildcheck.yamlio.documents import Node, plain

_STATED = {states.SHIM: "shim", states.CAP: "lash_cap", states.CAP_DIAMETER: "lash_cap"}
"""Parts that a trial may state for itself, by its key."""


@dataclass(frozen=True, slots=True)
class PartChange:
    """A part whose size or kind a reading depends on, old and new, with the valves read before the change."""

    title: str
    before: str
    after: str
    subjects: tuple[Subject, ...]
    place: Place


def part_changes(before: CheckedBuild, after: CheckedBuild) -> tuple[PartChange, ...]:
    """Every such part; none if the new state names states, which then account for the change."""
    old, new = before.build.roots.get("marks"), after.build.roots.get("marks")
    if old is None or new is None or _plain(old, "states") != _plain(new, "states"):
        return ()
    found: dict[tuple[str, str, str, Place], list[Subject]] = {}
    for subject, own in _read_alike(old, new):
        for path in states.LISTED:
            if path in own:
                continue
            if (key := _changed(before.facts, after.facts, path, subject)) is not None:
                found.setdefault(key, []).append(subject)
    return tuple(
        PartChange(title, then, today, tuple(subjects), place)
        for (title, then, today, place), subjects in found.items()
    )


def _read_alike(old: Node, new: Node) -> Iterator[tuple[Subject, frozenset[str]]]:
    """Valves with trials whose entries are the same in both files, and the parts that every trial states itself."""
    before, after = _entries(old), _entries(new)
    for subject in sorted(before.keys() & after.keys(), key=lambda one: one.order):
        trials = after[subject].get("trials")
        if trials is not None and trials.items and plain(before[subject]) == plain(after[subject]):
            stated = [path for path, key in _STATED.items() if all(one.get(key) for one in trials.items)]
            yield subject, frozenset(stated)


def _entries(marks: Node) -> dict[Subject, Node]:
    valves = marks.get("valves")
    found = {}
    for entry in valves.items if valves is not None else ():
        if entry.word("cylinder").isdecimal():
            found[Subject(int(entry.word("cylinder")), entry.word("valve"))] = entry
    return found


def _changed(before: Facts, after: Facts, path: str, subject: Subject) -> tuple[str, str, str, Place] | None:
    then, today = states.now(before, path, subject), states.now(after, path, subject)
    if then is None or today is None:
        return _fitted_or_removed(after, then, today, path)
    words = states.differs(after, path, then, today)
    return (states.title(path), *words, today.place) if words is not None else None


def _fitted_or_removed(
    facts: Facts, then: Node | None, today: Node | None, path: str
) -> tuple[str, str, str, Place] | None:
    """A shim or a lash cap that came or went; of other parts a missing value is unknown, not another part."""
    node = then or today
    if node is None or path not in states.NONE_FITTED or facts.reading(node, states.NONE_FITTED[path]).si == 0:
        return None
    texts = [str(one.value) if one is not None else "none" for one in (then, today)]
    return states.title(path), texts[0], texts[1], node.place


def _plain(root: Node, key: str) -> object:
    node = root.get(key)
    return plain(node) if node is not None else None
