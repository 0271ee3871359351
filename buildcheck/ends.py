"""Conventions of length: what the rod's ends and each gauge's hole make of one and the same rod."""

from __future__ import annotations

from buildcheck.facts import Facts
from buildcheck.formulas.rods import lost
from buildcheck.reading.documents import Node
from buildcheck.values import Undecided, Value, derive, difference, exact

ZERO = exact(0.0, "length")


def plus(one: Value, other: Value) -> Value:
    """Sum of two lengths."""
    return derive("length", lambda a, b: a + b, one, other, said=one.said)


def minus(one: Value, other: Value) -> Value:
    """Difference of two lengths."""
    return difference(one, other, one.said)


def measured_on_checker(facts: Facts, length: Value) -> Value:
    """A length read over the checking rod, as the rods' own ends would make it.

    Only an overall length depends on the holes in the ends: full-ball and gauge lengths do not see them.
    """
    if facts.node("pushrods.checker.ends") is None or _measured_as(facts) != "overall":
        return length
    return minus(plus(length, _holes(facts, "pushrods.checker.ends")), _holes(facts, "pushrods.ends"))


def to_measured(facts: Facts, length: Value, stated_as: str, gauge_hole: Node | None) -> Value:
    """A length stated by a supplier, turned into the convention of ``measured_as``."""
    return plus(minus(length, _from_full_ball(facts, stated_as, gauge_hole)), _measured_offset(facts))


def from_measured(facts: Facts, length: Value, stated_as: str, gauge_hole: Node | None) -> Value:
    """A length in the convention of ``measured_as``, turned into a supplier's."""
    return plus(minus(length, _measured_offset(facts)), _from_full_ball(facts, stated_as, gauge_hole))


def _measured_as(facts: Facts) -> str:
    return facts.text("pushrods.measured_as")


def _measured_offset(facts: Facts) -> Value:
    return _from_full_ball(facts, _measured_as(facts), facts.node("pushrods.gauge_hole"))


def _from_full_ball(facts: Facts, stated_as: str, gauge_hole: Node | None) -> Value:
    """What is added to the full-ball length: nothing, or less the caps that the holes take."""
    convention = stated_as, gauge_hole and gauge_hole.place
    found: Value = facts.once(("from full ball", convention), lambda: _less_caps(facts, stated_as, gauge_hole))
    return found


def _less_caps(facts: Facts, stated_as: str, gauge_hole: Node | None) -> Value:
    if stated_as == "overall":
        return minus(ZERO, _holes(facts, "pushrods.ends"))
    if stated_as == "full ball":
        return ZERO
    if gauge_hole is None:
        raise Undecided("a gauge length needs its supplier's own gauge_hole, which is never assumed")
    hole = facts.reading(gauge_hole, "length")
    return minus(ZERO, plus(*(_lost(facts, end, hole) for end in _each_end(facts, "pushrods.ends"))))


def _holes(facts: Facts, path: str) -> Value:
    """The caps that the oil holes take off both ends."""
    return plus(*(_lost(facts, end) if end.get("oil_hole") else ZERO for end in _each_end(facts, path)))


def _lost(facts: Facts, end: Node, gauge_hole: Value = ZERO) -> Value:
    """What one end reads short of its full ball, over a gauge or by caliper."""
    oil = end.get("oil_hole")
    oil_hole = facts.reading(oil, "length") if oil is not None else ZERO
    return derive("length", lost, _part(facts, end, "ball_radius"), oil_hole, gauge_hole)


def _part(facts: Facts, end: Node, key: str) -> Value:
    node = end.get(key)
    if node is None:
        raise Undecided(f"this end's {key} is not written in pushrods.yaml", (end.place,))
    if end.word("type") != "ball":
        raise Undecided("a cup end has no ball length: ask the supplier to state lengths as measured_as", (end.place,))
    return facts.reading(node, "length")


def _each_end(facts: Facts, path: str) -> list[Node]:
    node = facts.node(path)
    if node is None:
        raise facts.missing(path)
    lifter, rocker = node.get("lifter"), node.get("rocker")
    return [lifter, rocker] if lifter is not None and rocker is not None else [node, node]
