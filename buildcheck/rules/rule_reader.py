"""One rule from its file: conditions, fixes and examples, each refused at its own line."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from buildcheck.registry.quantity_table import QUANTITIES
from buildcheck.rules.dimensions import DIMENSIONS
from buildcheck.rules.expression import Literal
from buildcheck.rules.limit_reader import (
    RuleError,
    expression_at,
    kind_at,
    limit,
    place_of,
    refuse_crossed,
    refuse_name,
)
from buildcheck.rules.rule import BOUNDS, Example, Fix, Limit, Loosest, Rule
from buildcheck.schema.fields import field_words
from buildcheck.schema.near_miss import suggest
from buildcheck.units.quantity import quoted
from buildcheck.yamlio.documents import Node, find, plain


def rule(root: Node, area: str, shipped: bool) -> Rule:
    """A rule from its file's nodes, which the schema has accepted."""
    data = plain(root)
    tree = expression_at(root, ["quantity"], data["for_each"])
    kind = kind_at(tree, root, ["quantity"])
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


def conditions(
    root: Node, keys: Sequence[str | int], values: dict[str, Any], for_each: str
) -> dict[str, tuple[str, ...]]:
    """Fields and the words that each may hold, as ``applies`` and the variants of ``fix`` name them."""
    for path, allowed in values.items():
        place, key = place_of(root, *keys, path), ".".join(map(str, [*keys, path]))
        refuse_name(path, for_each, place, key)
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
        text, repeats = (" ".join(variant.get(key, "").split()) for key in ("text", "if_it_repeats"))
        yield Fix(when, text, repeats)


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
