"""The report's rows of limits and rules replaced by team or build: loosened ones first, hard clearances foremost."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from buildcheck.app.build_check import CheckedBuild
from buildcheck.output.loosened import see_file
from buildcheck.output.report.finding_rows import HARD
from buildcheck.rules.rule import Rule
from buildcheck.rules.rule_diff import replaced_terms

_BY = {"rule": "team's rule file", "shipped rule": "shipped rule"}
"""Who set a limit, if its name differs from where it is set."""


def limit_rows(checked: CheckedBuild) -> list[dict[str, Any]]:
    """One row for each side whose limit displaced another, and for each other term of a rule that replaced one."""
    rows = [row for rule in checked.rules.rules for row in (*_limits(checked, rule), *_terms(rule))]
    areas = {rule.id: rule.area for rule in checked.rules.rules}
    return sorted(rows, key=lambda row: (not row["loosened"], areas[row["rule"]] not in HARD, row["rule"]))


def _limits(checked: CheckedBuild, rule: Rule) -> Iterator[dict[str, Any]]:
    for side in rule.bounds:
        *displaced, now = checked.limits.stated(rule, side)
        if displaced:
            texts = [displaced[0].limit.text, *(f"{one.limit.text} by the {_by(one.origin)}" for one in displaced[1:])]
            yield {
                "rule": rule.id,
                "loosened": checked.limits.loosened(rule, side, checked.facts),
                "own": f"{side.replace('_', ' ')} {' → '.join(texts)}",
                "now": now.limit.text,
                "by": _by(now.origin),
                "because": now.because if now.origin != "rule" else see_file(rule),
            }


def _terms(rule: Rule) -> Iterator[dict[str, Any]]:
    for one in replaced_terms(rule):
        yield {
            "rule": rule.id,
            "loosened": one.laxer,
            "own": f"{one.what.replace('_', ' ')} {one.before}",
            "now": one.after,
            "by": _by("rule"),
            "because": see_file(rule),
        }


def _by(origin: str) -> str:
    return _BY.get(origin, origin)
