"""The report's rows of limits that the team or the build set anew: loosened ones first, hard clearances foremost."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from buildcheck.check import Checked
from buildcheck.report.findings import HARD


def limit_rows(checked: Checked) -> Iterator[dict[str, Any]]:
    """One row for each side of a rule whose limit is not the rule's own."""
    rows = []
    for rule_id in checked.limits.changed():
        rule = checked.rules[rule_id]
        for side, bound in checked.limits.in_force(rule).items():
            if bound.origin != "rule":
                loosened = checked.limits.loosened(rule, side, checked.facts)
                rows.append((not loosened, rule.area not in HARD, rule_id, side, bound))
    for as_strict, _, rule_id, side, bound in sorted(rows, key=lambda row: row[:4]):
        yield {
            "rule": rule_id,
            "loosened": not as_strict,
            "own": f"{side.replace('_', ' ')} {checked.rules[rule_id].bounds[side].text}",
            "now": bound.limit.text,
            "by": bound.origin,
            "because": bound.because,
        }
