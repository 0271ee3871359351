"""One digest of what a report was made from: values as written, without comments, order, quotes and line endings."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from hashlib import sha256
from typing import Any

from buildcheck.app.build_check import CheckedBuild
from buildcheck.rules.rule import Rule
from buildcheck.yamlio.nodes import Node

REPORT_FORMAT = 9
"""Raise it with every change of what a report shows: reports written before are then stale."""
SHOWN = 16


def report_digest(checked: CheckedBuild, pictures: Iterable[str] = ()) -> str:
    """First 16 hexadecimal digits of the SHA-256 over all that a build's report was made from, pictures by name."""
    return _digest(
        {
            "format": REPORT_FORMAT,
            "values": {name: as_written(root) for name, root in checked.build.roots.items()},
            "nothing filled in": sorted(checked.build.comment_only),
            "parts": sorted(checked.build.parts),
            "problems": sorted([one.place.file, one.path, one.message] for one in checked.problems),
            "rules": {rule.id: _terms(checked, rule) for rule in _deciding(checked)},
            "stage": [checked.options.stage, checked.options.strict],
            "pictures": sorted(pictures),
        }
    )


def _digest(data: Any) -> str:
    """Of plain data, whatever the order of its keys.

    >>> _digest({"a": 1, "b": 2}) == _digest({"b": 2, "a": 1}) != _digest({"a": 1, "b": 3})
    True
    """
    return sha256(json.dumps(data, sort_keys=True).encode()).hexdigest()[:SHOWN]


def as_written(node: Node) -> Any:
    """A node's values as text in plain data: no place, no quotes; 1.60 and 1.6 differ, as a reader sees them."""
    if isinstance(node.value, dict):
        return {key: as_written(child) for key, child in node.value.items()}
    if isinstance(node.value, list):
        return [as_written(child) for child in node.value]
    return node.value if isinstance(node.value, str) else node.text


def _deciding(checked: CheckedBuild) -> Iterator[Rule]:
    """The rules that apply to the build, and those that the report shows or the order uses even so."""
    applying = {result.rule for result in checked.results if result.kind != "notApplicable"}
    for rule in checked.rules.rules:
        changed = rule.replaces or any(len(checked.limits.stated(rule, side)) > 1 for side in rule.bounds)
        if rule.id in applying or rule.controls or changed:
            yield rule


def _terms(checked: CheckedBuild, rule: Rule) -> list[Any]:
    """What a rule shows or decides by, with every limit that was set for it; not its examples or its reasons."""
    stated = {
        side: [[bound.limit.text, bound.origin, bound.because] for bound in checked.limits.stated(rule, side)]
        for side in rule.bounds
    }
    fixes = [[dict(fix.when), fix.text] for fix in rule.fixes]
    shows = [rule.title, fixes, rule.caution, rule.source, rule.area, rule.level, rule.due]
    decides = [rule.for_each, dict(rule.applies), rule.quantity_text, rule.at_zero, rule.open_blocks, rule.concedable]
    decides += rule.follows
    return [shows, decides, rule.controls, stated, rule.replaces is not None]
