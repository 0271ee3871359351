"""The report's rows of limits and rules replaced by team or build: loosened ones first, hard clearances foremost."""

from __future__ import annotations

from collections.abc import Iterator

from buildcheck.app.build_check import CheckedBuild
from buildcheck.output.loosened import chain_text, reason, see_file, set_by
from buildcheck.output.report.finding_rows import HARD
from buildcheck.record import Record
from buildcheck.rules.rule import Rule
from buildcheck.rules.rule_diff import replaced_terms


class LimitRow(Record):
    """A limit or another term of a rule that was replaced: as shipped, as in force, who replaced it, and why."""

    rule: str
    loosened: bool
    shipped: str
    in_force: str
    by: str
    because: str


def limit_rows(checked: CheckedBuild) -> list[LimitRow]:
    """One row for each limit that displaced another, and for each other term of a rule that replaced one."""
    rows = [row for rule in checked.rules.rules for row in (*_limits(checked, rule), *_terms(rule))]
    areas = {rule.id: rule.area for rule in checked.rules.rules}
    return sorted(rows, key=lambda row: (not row.loosened, areas[row.rule] not in HARD, row.rule))


def _limits(checked: CheckedBuild, rule: Rule) -> Iterator[LimitRow]:
    for side in (each for each in rule.bounds if checked.limits.is_displaced(rule, each)):
        first, *later, now = checked.limits.stated(rule, side)
        yield LimitRow(
            rule=rule.id,
            loosened=checked.limits.loosened(rule, side, checked.facts),
            shipped=f"{side.replace('_', ' ')} {first.limit.text}{chain_text(later)}",
            in_force=now.limit.text,
            by=set_by(now.origin),
            because=reason(rule, now),
        )


def _terms(rule: Rule) -> Iterator[LimitRow]:
    for term in replaced_terms(rule):
        shipped = f"{term.what.replace('_', ' ')} {term.before}"
        yield LimitRow(rule.id, term.laxer, shipped, term.after, set_by("rule"), see_file(rule))
