"""One digest of what a report was made from: values as written, without comments, order, quotes and line endings."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from buildcheck.app.build_check import CheckedBuild
from buildcheck.core.digest import digest_of
from buildcheck.output.correction_wording import fix_text
from buildcheck.output.wording import acceptance_text
from buildcheck.rules.rule import Rule
from buildcheck.rules.rule_terms import deciding_terms
from buildcheck.yamlio.nodes import as_written

REPORT_FORMAT = 17
"""Raise it with every change of what a report shows: reports written before are then stale."""


def report_digest(checked: CheckedBuild, pictures: Iterable[str] = (), rule_pages: str = "") -> str:
    """First 16 hexadecimal digits of the SHA-256 over all that a build's report was made from, pictures by name."""
    return digest_of(
        {
            "format": REPORT_FORMAT,
            "values": {name: as_written(root) for name, root in checked.build.roots.items()},
            "nothing filled in": sorted(checked.build.comment_only),
            "parts": sorted(checked.build.parts),
            "problems": sorted([one.place.file, one.path, one.message] for one in checked.problems),
            "rules": {rule.id: _terms(checked, rule) for rule in _deciding(checked)},
            "stage": [checked.options.stage, checked.options.strict],
            "pictures": sorted(pictures),
            **({"rule pages": rule_pages} if rule_pages else {}),
            **({"accepted": acceptance_text(checked)} if checked.acceptance is not None else {}),
        }
    )


def _deciding(checked: CheckedBuild) -> Iterator[Rule]:
    """The rules that apply to the build, and those that the report shows or the order uses even so."""
    applying = {result.rule for result in checked.results if result.kind != "notApplicable"}
    for rule in checked.rules.rules:
        changed = rule.replaces or any(checked.limits.is_displaced(rule, side) for side in rule.bounds)
        if rule.id in applying or rule.controls or changed:
            yield rule


def _terms(checked: CheckedBuild, rule: Rule) -> list[Any]:
    """What a rule shows, and what it decides by; not its examples or its reasons."""
    fixes = [[dict(fix.when), fix_text(fix)] for fix in rule.fixes]
    shows = [rule.title, fixes, rule.caution, rule.source, rule.area, rule.level, rule.due]
    return [shows, *deciding_terms(rule, checked.limits), rule.replaces is not None]
