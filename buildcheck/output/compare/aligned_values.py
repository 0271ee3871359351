"""Lays two states' values side by side by subject, also if only one of them distinguishes cylinders."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TypeVar

from buildcheck.core.subject import Subject

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


def _is_per_cylinder(known: Mapping[Subject, T], subject: Subject) -> bool:
    """Whether a state speaks of single cylinders where the other speaks of all."""
    return subject.cylinder is None and any(each.valve == subject.valve for each in known)
