"""Lays two states' values side by side by subject, and decides whether a value moved by more than its uncertainty."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from math import hypot
from typing import TypeVar

from buildcheck.app.build_check import CheckedBuild
from buildcheck.build.facts import Facts
from buildcheck.core.subject import Subject
from buildcheck.core.value import NotApplicable, Undecided, Value
from buildcheck.formulas.decision import noise

T = TypeVar("T")


def aligned(before: Mapping[Subject, T], after: Mapping[Subject, T]) -> Iterator[tuple[Subject, T | None, T | None]]:
    """Each subject with what both states say of it; what is said of all cylinders counts for each of them.

    >>> list(aligned({Subject(None, "intake"): 1}, {Subject(2, "intake"): 3}))
    [(Subject(cylinder=2, valve='intake'), 1, 3)]
    """
    for subject in sorted(before.keys() | after.keys(), key=lambda subject: subject.order):
        old, new = value_for(before, subject), value_for(after, subject)
        if (old is None and _is_per_cylinder(before, subject)) or (new is None and _is_per_cylinder(after, subject)):
            continue
        yield subject, old, new


def value_for(known: Mapping[Subject, T], subject: Subject) -> T | None:
    """What a state says of a subject, or of all cylinders at once."""
    return known.get(subject, known.get(subject._replace(cylinder=None)))


def read_in_both(
    before: CheckedBuild | None, after: CheckedBuild | None, read: Callable[[Facts, Subject], T | None]
) -> Iterator[tuple[Facts, Subject, T, T]]:
    """The new facts and every valve of which both states can be read, with what ``read`` finds in each.

    Nothing if a state has errors.
    """
    if before is None or after is None or before.problems or after.problems:
        return
    for subject in after.facts.subjects("valve"):
        was, now = _value_or_none(before.facts, subject, read), _value_or_none(after.facts, subject, read)
        if was is not None and now is not None:
            yield after.facts, subject, was, now


def _value_or_none(facts: Facts, subject: Subject, read: Callable[[Facts, Subject], T | None]) -> T | None:
    try:
        return read(facts, subject)
    except (NotApplicable, Undecided):
        return None


def moved(was: Value, now: Value) -> bool:
    """Whether two values differ by more than √(U1² + U2²), both expanded (k = 2)."""
    return abs(was.si - now.si) > hypot(was.expanded, now.expanded) + noise(was.si, now.si)


def _is_per_cylinder(known: Mapping[Subject, T], subject: Subject) -> bool:
    """Whether a state speaks of single cylinders where the other speaks of all."""
    return subject.cylinder is None and any(each.valve == subject.valve for each in known)
