"""Limits and expressions of a rule from its file, each refused at its own line."""

from __future__ import annotations

from collections.abc import Mapping

from buildcheck.core.problem import Place, Problem
from buildcheck.core.subject import VALVE_TYPES
from buildcheck.record import replace
from buildcheck.registry.quantity_table import QUANTITIES
from buildcheck.rules.dimensions import KindError, alike, described
from buildcheck.rules.expression import Expression, ExpressionError, Literal, expression, kind_of, names
from buildcheck.rules.rule import BOUNDS, Limit
from buildcheck.schema.fields import field_kind, field_kinds, listed_fields
from buildcheck.units.quantity import QuantityError
from buildcheck.yamlio.documents import Node, find

SYSTEMS = ("inch", "metric")
UNLIKE = 0.10
"""By so much of the greater one the limits of both unit systems may differ."""
_REACH = {
    "build": ("build",),
    "cylinder": ("build", "cylinder"),
    "valve_type": ("build", "valve_type"),
    "valve": ("build", "cylinder", "valve", "valve_type"),
}


class RuleError(ValueError):
    """A rule that cannot be used: the problem has its line."""

    def __init__(self, place: Place, path: str, message: str) -> None:
        super().__init__(message)
        self.problem = Problem(place, path, message)


def limit(node: Node, for_each: str, kind: str, root: Node, keys: list[str]) -> Limit:
    """A bound from its node: one for all, or one for each unit system, and in it for all or for each valve type."""
    if set(node.entries) & set(SYSTEMS):
        inch, metric = (_in_system(node, system, for_each, kind, root, keys) for system in SYSTEMS)
        _refuse_unlike(inch, metric, ".".join(keys))
        return replace(inch, metric=metric)
    return _limit_for_all(node, for_each, kind, root, keys)


def _in_system(node: Node, system: str, for_each: str, kind: str, root: Node, keys: list[str]) -> Limit:
    limit = node.get(system)
    if limit is None or kind != "length":
        path = ".".join(keys)
        raise RuleError(node.place, path, "a limit of a length can be written as {inch: 0.060 in, metric: 1.5 mm}")
    return _limit_for_all(limit, for_each, kind, root, [*keys, system])


def _refuse_unlike(inch: Limit, metric: Limit, path: str) -> None:
    """RuleError where the two are not about the same length: a typing error in one of them."""
    for valve in ("", *VALVE_TYPES):
        trees = inch.tree(valve), metric.tree(valve)
        values = [tree.value.si for tree in trees if isinstance(tree, Literal)]
        if len(values) == len(trees) and abs(values[0] - values[1]) > UNLIKE * max(map(abs, values)):
            words = f"inch {inch.text} and metric {metric.text} differ by more than {UNLIKE:.0%}"
            raise RuleError(metric.place, f"{path}.metric", words)


def _limit_for_all(node: Node, for_each: str, kind: str, root: Node, keys: list[str]) -> Limit:
    """A bound from its node: one for all, or one for each valve type."""
    if isinstance(node.value, dict) and not set(VALVE_TYPES) <= set(node.value):
        lacking = [f"'{valve}' is missing: " for valve in VALVE_TYPES if valve not in node.value]
        words = f"{lacking[0]}write one value, or {{intake: …, exhaust: …}}, or {{inch: …, metric: …}}"
        raise RuleError(node.place, ".".join(keys), words)
    sides = {valve: limit for valve in VALVE_TYPES if (limit := node.get(valve)) is not None} or {"": node}
    if "" not in sides and for_each not in ("valve", "valve_type"):
        raise RuleError(node.place, ".".join(keys), f"a limit for each valve type cannot be that of each {for_each}")
    trees = {side: expression_at(root, [*keys, *([side] if side else [])], for_each) for side in sides}
    for side, tree in trees.items():
        path = [*keys, *([side] if side else [])]
        found = kind_at(tree, root, path)
        if not alike(found, kind):
            raise RuleError(
                place_of(root, *path),
                ".".join(path),
                f"{described(found)} cannot be the limit of {described(kind)}",
            )
    texts = [f"{side} {child.text}".strip() for side, child in sides.items()]
    return Limit(trees, ", ".join(texts), node.place)


def refuse_crossed(bounds: Mapping[str, Limit], path: str = "") -> None:
    """RuleError where the least that is allowed is written above the most: no value would pass."""
    if len(bounds) < len(BOUNDS):
        return
    for valve in ("", *VALVE_TYPES):
        least, most = (bounds[side].tree(valve) for side in BOUNDS)
        if isinstance(least, Literal) and isinstance(most, Literal) and least.value.si > most.value.si:
            texts = f"at_least {bounds['at_least'].text} is above at_most {bounds['at_most'].text}"
            raise RuleError(bounds["at_most"].place, f"{path}at_most", f"{texts}: no value would pass")


def kind_of_name(name: str) -> str:
    """Kind of a named quantity or a field; KeyError for an unknown name."""
    if name in QUANTITIES:
        return QUANTITIES[name].kind
    return field_kind(name)


def expression_at(root: Node, keys: list[str], for_each: str) -> Expression:
    """The expression written at a path; RuleError for a mistake in it or a name that the rule cannot use."""
    node = find(root, keys)
    assert node is not None
    path = ".".join(keys)
    try:
        tree = expression(node.text if not isinstance(node.value, str) else node.value)
    except (ExpressionError, QuantityError) as error:
        raise RuleError(node.place, path, str(error)) from error
    for name in names(tree):
        refuse_name(name, for_each, node.place, path)
    return tree


def refuse_name(name: str, for_each: str, place: Place, path: str) -> None:
    """RuleError for a name that a rule for each such subject cannot use."""
    try:
        kind_of_name(name)
    except KeyError:
        raise RuleError(place, path, f"{name} is neither a named quantity nor a field{_near(name)}") from None
    if name in listed_fields():
        raise RuleError(place, path, f"{name} is in a list: a rule cannot choose one of its entries")
    if name in QUANTITIES and QUANTITIES[name].per not in _REACH[for_each]:
        raise RuleError(
            place,
            path,
            f"{name} is computed for each {QUANTITIES[name].per}: write 'for_each: {QUANTITIES[name].per}'",
        )
    if "{valve}" in name and for_each not in ("valve", "valve_type"):
        raise RuleError(place, path, f"{name} needs a valve: write 'for_each: valve' or 'for_each: valve_type'")


def _near(name: str) -> str:
    from difflib import get_close_matches

    close = get_close_matches(name, [*QUANTITIES, *field_kinds()], 1)
    return f"; did you mean {close[0]}?" if close else ""


def kind_at(tree: Expression, root: Node, keys: list[str]) -> str:
    """The kind of the expression written at a path; RuleError if its parts do not fit each other."""
    try:
        return kind_of(tree, kind_of_name)
    except KindError as error:
        raise RuleError(place_of(root, *keys), ".".join(keys), str(error)) from error


def place_of(root: Node, *keys: str | int) -> Place:
    """The place of a path in a rule file, or of the rule itself."""
    node = find(root, list(keys))
    return node.place if node is not None else root.place
