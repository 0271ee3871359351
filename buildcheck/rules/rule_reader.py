"""One rule from its file: limits, conditions, fixes and examples, each refused at its own line."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from buildcheck.core.problem import Place, Problem
from buildcheck.core.subject import VALVE_TYPES
from buildcheck.record import replace
from buildcheck.registry.quantity_table import QUANTITIES
from buildcheck.rules.dimensions import DIMENSIONS, KindError, alike, described
from buildcheck.rules.expression import Expression, ExpressionError, Literal, expression, kind_of, names
from buildcheck.rules.rule import BOUNDS, Example, Fix, Limit, Loosest, Rule
from buildcheck.schema.fields import field_kind, field_kinds, field_words, listed_fields
from buildcheck.schema.near_miss import suggest
from buildcheck.units.quantity import QuantityError, quoted
from buildcheck.yamlio.documents import Node, find, plain

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


def rule(root: Node, area: str, shipped: bool) -> Rule:
    """A rule from its file's nodes, which the schema has accepted."""
    data = plain(root)
    tree = _tree(root, ["quantity"], data["for_each"])
    kind = _kind(tree, root, ["quantity"])
    if kind not in DIMENSIONS:
        raise RuleError(place_of(root, "quantity"), "quantity", "a compound value cannot be judged: divide by its unit")
    bounds = {bound: _limit(root, bound, data["for_each"], kind) for bound in BOUNDS if bound in data}
    refuse_crossed(bounds)
    loosest = _loosest(root, kind, bounds)
    return Rule(
        id=data["id"],
        title=data["title"],
        for_each=data["for_each"],
        applies=conditions(root, ["applies"], data.get("applies", {}), data["for_each"]),
        quantity=tree,
        quantity_text=data["quantity"],
        kind=kind,
        bounds=bounds,
        loosest=loosest,
        level=data.get("level", "error"),
        due=data.get("due", "ordering"),
        open_blocks=data.get("open", "blocks") == "blocks",
        at_zero=data.get("at_zero", ""),
        concedable=data.get("concession") != "refused",
        why=" ".join(data["why"].split()),
        fixes=tuple(_fixes(root, data["fix"], data["for_each"])),
        source=data["source"],
        caution=" ".join(data.get("caution", "").split()),
        controls=data.get("controls", ""),
        fuels=tuple(data.get("fuels", ())),
        follows=tuple(data.get("follows", ())),
        since=str(data.get("since", "")),
        examples=tuple(_examples(root)),
        place=root.place,
        area=area,
        shipped=shipped,
    )


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
    trees = {side: _tree(root, [*keys, *([side] if side else [])], for_each) for side in sides}
    for side, tree in trees.items():
        path = [*keys, *([side] if side else [])]
        found = _kind(tree, root, path)
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


def _limit(root: Node, bound: str, for_each: str, kind: str) -> Limit:
    node = find(root, [bound])
    assert node is not None
    return limit(node, for_each, kind, root, [bound])


def _loosest(root: Node, kind: str, bounds: Mapping[str, Limit]) -> Loosest | None:
    """The value beyond which no team and no build may set the limit of a rule with one side."""
    node = find(root, ["loosest"])
    if node is None:
        return None
    written = limit(node, "build", kind, root, ["loosest"]).tree(None)
    if not isinstance(written, Literal) or len(bounds) != 1:
        raise RuleError(
            node.place, "loosest", "write one value with its unit, for a rule with at_least or at_most alone"
        )
    return Loosest(written.value, node.text if not isinstance(node.value, str) else node.value)


def _tree(root: Node, keys: list[str], for_each: str) -> Expression:
    node = find(root, keys)
    assert node is not None
    path = ".".join(keys)
    try:
        tree = expression(node.text if not isinstance(node.value, str) else node.value)
    except (ExpressionError, QuantityError) as error:
        raise RuleError(node.place, path, str(error)) from error
    for name in names(tree):
        _refuse_name(name, for_each, node.place, path)
    return tree


def _refuse_name(name: str, for_each: str, place: Place, path: str) -> None:
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


def _kind(tree: Expression, root: Node, keys: list[str]) -> str:
    try:
        return kind_of(tree, kind_of_name)
    except KindError as error:
        raise RuleError(place_of(root, *keys), ".".join(keys), str(error)) from error


def conditions(
    root: Node, keys: Sequence[str | int], values: dict[str, Any], for_each: str
) -> dict[str, tuple[str, ...]]:
    """Fields and the words that each may hold, as ``applies`` and the variants of ``fix`` name them."""
    for path, allowed in values.items():
        place, key = place_of(root, *keys, path), ".".join(map(str, [*keys, path]))
        _refuse_name(path, for_each, place, key)
        if path in QUANTITIES:
            raise RuleError(place, key, f"{path} is computed: a rule applies by what a field holds")
        if refused := refused_words(path, _words(allowed)):
            raise RuleError(place, key, refused)
    return {path: _words(allowed) for path, allowed in values.items()}


def _fixes(root: Node, written: str | list[dict[str, Any]], for_each: str) -> Iterator[Fix]:
    """The variants of ``fix``: the last one fits every build, the ones before it have a condition."""
    variants = written if isinstance(written, list) else [{"text": written}]
    for number, variant in enumerate(variants):
        when = conditions(root, ["fix", number, "when"], variant.get("when", {}), for_each)
        if bool(when) == (number == len(variants) - 1):
            raise RuleError(place_of(root, "fix"), "fix", "every variant but the last needs 'when', the last has none")
        yield Fix(when, " ".join(variant["text"].split()))


def refused_words(path: str, words: tuple[str, ...]) -> str:
    """The message for words that the field at this path never holds; empty if it may hold each of them."""
    known = field_words(path)
    unknown = [word for word in words if known and word not in known]
    if not unknown:
        return ""
    near = suggest(unknown[0], known)
    hint = f"; did you mean {near}?" if near else ""
    return f"{path} never holds {', '.join(map(quoted, unknown))}: it holds {', '.join(known)}{hint}"


def _words(values: Any) -> tuple[str, ...]:
    return tuple(str(value) for value in (values if isinstance(values, list) else [values]))


def _examples(root: Node) -> Iterator[Example]:
    node = find(root, ["examples"])
    for entry in node.items if node is not None else ():
        data = plain(entry)
        yield Example(data["given"], data["gives"], entry.place)


def place_of(root: Node, *keys: str | int) -> Place:
    node = find(root, list(keys))
    return node.place if node is not None else root.place
