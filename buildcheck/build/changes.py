"""Changes to an engine: one list of names and effects for the stack-up, what-ifs and readings carried over."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial

from buildcheck.build.facts import Facts
from buildcheck.core.subject import Subject
from buildcheck.core.value import Value, derive, difference, with_uncertainty
from buildcheck.formulas.carried_reading import SHARE, ReadingEffect, effects, required_length_change
from buildcheck.record import Record
from buildcheck.yamlio.documents import Node

_Side = Callable[[ReadingEffect, float], float]
"""Which effect of one unit of a change, at a rocker ratio."""

CUTS = ("block_milled", "head_milled", "lifter_cup_lower", "pedestal_raised", "seat_sunk", "tip_higher")
"""Keys of `changes` that give by how much something changed."""

SIZES = ("head_height", "gasket_thickness", "base_circle_diameter")
"""Keys of `changes` that give a size before and after, `was` and `is`."""

WRITTEN = (*CUTS[:2], *SIZES, *CUTS[2:])
"""All keys of `changes`, in the order of stackup.yaml."""


class Change(Record):
    """One change: ``name`` as in stackup.yaml, or lobe_lift; ``path`` of the field that shows it, if one does."""

    name: str
    value: Value
    path: str = ""


def written_changes(facts: Facts, node: Node | None) -> Iterator[Change]:
    """The changes in a mapping such as ``stackup.changes`` or a state's ``changes``, without replaced parts."""
    for name in WRITTEN:
        entry = node.get(name) if node is not None else None
        if entry is not None and (value := _amount(facts, entry)) is not None:
            yield Change(name, value)


def _amount(facts: Facts, node: Node) -> Value | None:
    """A change as written: one length, or ``is`` less ``was``."""
    after, before = node.get("is"), node.get("was")
    if after is not None and before is not None:
        return difference(facts.reading(after, "length"), facts.reading(before, "length"))
    return None if node.entries else facts.reading(node, "length")


def zero_lash_effect(facts: Facts, subject: Subject, change: Change) -> Value:
    """What a change adds to the zero-lash length, m; with a nut, to the length of the pair of length and height."""
    return _term(facts, subject, change, lambda effect, _: effect.length)


def height_effect(facts: Facts, subject: Subject, change: Change) -> Value:
    """What a change adds to the height error that goes with the zero-lash length, m."""
    return _term(facts, subject, change, lambda effect, _: effect.height)


def required_length_effect(facts: Facts, subject: Subject, change: Change) -> Value:
    """What a change adds to the required length at the same preload, m."""
    free = facts.pivot_is_free
    return _term(facts, subject, change, lambda effect, ratio: required_length_change(effect, free, 1 + 1 / ratio))


def _term(facts: Facts, subject: Subject, change: Change, of: _Side) -> Value:
    """One first-order term, as sure as 5 % of it and the change itself."""
    factor = partial(_factor, change.name, of, facts.pivot_is_free)
    found = derive("length", factor, change.value, facts.field("rockers.ratio", subject))
    return with_uncertainty(found, SHARE * abs(found.si), f"effect of {change.name} {subject.valve}")


def _factor(name: str, of: _Side, free: bool, change: float, ratio: float) -> float:
    table = effects(ratio, free)
    if name not in table:
        raise ValueError("a rocker on a stud with a nut has no pedestal to raise")
    return change * of(table[name], ratio)
