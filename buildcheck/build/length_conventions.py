"""Conventions of length: what the rod's ends and each gauge's hole make of one and the same rod."""

from __future__ import annotations

from buildcheck.build.facts import Facts
from buildcheck.core.value import Undecided, Value, derive, difference, exact
from buildcheck.formulas.pushrod_length import ball_end_shortening
from buildcheck.yamlio.documents import Node

ZERO = exact(0.0, "length")

AS_WRITTEN = 0.0005 * 0.0254
"""How far two ball radii may differ by rounding alone, m: half a thousandth of an inch."""

UNLIKE = (
    "the checking pushrod has {}, the pushrods have {}, which seat at another depth: measure with the ends of the "
    "pushrods, or correct ends in pushrods.yaml"
)

Convention = tuple[str, Node | None]
"""How a length is stated, and the hole of its gauge."""


def plus(one: Value, other: Value) -> Value:
    """Sum of two lengths."""
    return derive("length", lambda a, b: a + b, one, other)


def minus(one: Value, other: Value) -> Value:
    """Difference of two lengths."""
    return difference(one, other)


def measured_on_checker(facts: Facts, length: Value, checker: str = "") -> Value:
    """A length read over the checking rod, as the rods' own ends would make it.

    Full-ball lengths do not see the holes in the ends; a caliper does, and a gauge where they are wider than its own.
    ``checker``: the name of one of several.
    """
    ends = f"pushrods.checkers.{checker}.ends" if checker else "pushrods.checker.ends"
    if facts.node(ends) is None:
        return length
    facts.once(("ends", ends), _refuse_unlike, facts, ends)
    measured = _measured(facts)
    return plus(minus(length, _from_full_ball(facts, *measured, ends)), _from_full_ball(facts, *measured))


def to_measured(facts: Facts, length: Value, stated_as: str, gauge_hole: Node | None) -> Value:
    """A length stated by a supplier, turned into the convention of ``measured_as``."""
    stated, measured = (stated_as, gauge_hole), _measured(facts)
    _refuse_cups(facts, stated, measured)
    return plus(minus(length, _from_full_ball(facts, *stated)), _from_full_ball(facts, *measured))


def from_measured(facts: Facts, length: Value, stated_as: str, gauge_hole: Node | None) -> Value:
    """A length in the convention of ``measured_as``, turned into a supplier's."""
    stated, measured = (stated_as, gauge_hole), _measured(facts)
    _refuse_cups(facts, stated, measured)
    return plus(minus(length, _from_full_ball(facts, *measured)), _from_full_ball(facts, *stated))


def _measured(facts: Facts) -> Convention:
    return facts.text("pushrods.measured_as"), facts.node("pushrods.gauge_hole")


def _refuse_cups(facts: Facts, one: Convention, other: Convention) -> None:
    """A gauge's hole says nothing of a cup: its lengths are known in its own convention alone."""
    cups = [end for end in _each_end(facts, "pushrods.ends") if not _is_ball(end)]
    if cups and "gauge" in (one[0], other[0]) and _seat(facts, one) != _seat(facts, other):
        raise Undecided(
            "a cup end has no gauge length: get the length convention of the supplier and enter it as measured_as",
            (cups[0].place,),
        )


def _seat(facts: Facts, convention: Convention) -> float | None:
    """The hole that a gauge measures over, m; None by caliper or over full balls."""
    return _hole(facts, convention[1]).si if convention[0] == "gauge" else None


def _from_full_ball(facts: Facts, stated_as: str, gauge_hole: Node | None, path: str = "pushrods.ends") -> Value:
    """What is added to the full-ball length: nothing, or less the caps that the holes take."""
    convention = path, stated_as, gauge_hole and gauge_hole.place
    return facts.once(("from full ball", convention), _less_caps, facts, stated_as, gauge_hole, path)


def _less_caps(facts: Facts, stated_as: str, gauge_hole: Node | None, path: str) -> Value:
    """Of balls alone: a cup is shortened by no hole."""
    if stated_as == "full ball":
        return ZERO
    over = _hole(facts, gauge_hole) if stated_as == "gauge" else ZERO
    caps = [_lost(facts, end, over) for end in _each_end(facts, path) if _is_ball(end)]
    return minus(ZERO, derive("length", lambda *each: sum(each), ZERO, *caps))


def _hole(facts: Facts, node: Node | None) -> Value:
    if node is None:
        raise Undecided("a gauge length needs the gauge_hole of its supplier, which is never assumed")
    return facts.reading(node, "length")


def _lost(facts: Facts, end: Node, over: Value) -> Value:
    """What one ball reads short of its full ball, over a gauge's hole or, where that is zero, by caliper."""
    oil = end.get("oil_hole")
    oil_hole = facts.reading(oil, "length") if oil is not None else ZERO
    return derive("length", ball_end_shortening, _radius(facts, end), oil_hole, over)


def _radius(facts: Facts, end: Node) -> Value:
    node = end.get("ball_radius")
    if node is None:
        raise Undecided("this end's ball_radius is missing in pushrods.yaml", (end.place,))
    return facts.reading(node, "length")


def _is_ball(end: Node) -> bool:
    return end.word("type") == "ball"


def _refuse_unlike(facts: Facts, ends: str) -> None:
    """Another kind of end, or a ball of another size, seats at another depth: by how much is unknown."""
    paths = ends, "pushrods.ends"
    for over, end in zip(*(_each_end(facts, path) for path in paths), strict=True):
        apart = abs(_radius(facts, over).si - _radius(facts, end).si)
        if _is_ball(over) != _is_ball(end) or apart > AS_WRITTEN:
            raise Undecided(UNLIKE.format(_described(over), _described(end)), (over.place, end.place))


def _described(end: Node) -> str:
    return f"a {end.word('type')} of {end.word('ball_radius')} radius"


def _each_end(facts: Facts, path: str) -> list[Node]:
    node = facts.node(path)
    if node is None:
        raise facts.missing(path)
    lifter, rocker = node.get("lifter"), node.get("rocker")
    return [lifter, rocker] if lifter is not None and rocker is not None else [node, node]
