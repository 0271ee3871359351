"""What the report shows, as plain text in plain structures: the template only lays it out."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import Any

from buildcheck.app.build_check import CheckedBuild, quantities
from buildcheck.core.subject import Subject
from buildcheck.core.value import Value
from buildcheck.ordering.order import OrderLine
from buildcheck.output.cause_groups import cause_groups
from buildcheck.output.cautions import USUAL
from buildcheck.output.report.adjuster_rows import settings
from buildcheck.output.report.blocking_causes import blocking_cause
from buildcheck.output.report.finding_rows import conceded, findings, non_blocking_rows, summary_rows
from buildcheck.output.report.limit_rows import limit_rows
from buildcheck.output.report.next_stage import blocks_later, next_stage
from buildcheck.output.report.next_steps import next_steps
from buildcheck.output.report.not_applicable_rows import reasons
from buildcheck.output.report.opening import what_now
from buildcheck.output.report.stackup_rows import stack_up
from buildcheck.output.report.state_rows import carried_rows, void_rows
from buildcheck.output.report.valve_rows import measured, valve_rows
from buildcheck.output.supplier_order import gauge_question, pushrod_rows
from buildcheck.output.value_wording import value_text
from buildcheck.output.wording import (
    acceptance_text,
    counted,
    risk_freedom_shown,
    risk_shown,
    subjects_text,
    verdict_text,
)
from buildcheck.units.quantity import show

_ALERTS = {"fail": "CAUTION", "open": "WARNING", "pass": "NOTE"}


def view(checked: CheckedBuild) -> dict[str, Any]:
    """Everything the template needs."""
    limits = limit_rows(checked)
    reported = [result for result in checked.results if result.is_finding]
    blocking = [group for group in cause_groups(checked) if group.blocks]
    shown = {(one.rule, one.subject) for group in blocking for one in group.members}
    not_blocking = [one for one in reported if (one.rule, one.subject) not in shown and one.concession is None]
    ahead = blocks_later(checked)
    return {
        "name": checked.build.name,
        "stage": checked.options.stage,
        "verdict": verdict_text(checked),
        "alert": _ALERTS[checked.verdict],
        "problems": checked.problems,
        "accepted": acceptance_text(checked),
        "now": what_now(checked, blocking),
        "glance": list(_overview(checked)),
        "blocking": [blocking_cause(checked, group) for group in blocking],
        "waiting": non_blocking_rows(checked, (r for r in not_blocking if r.due_now)),
        "later": non_blocking_rows(checked, (r for r in not_blocking if not r.due_now)),
        "order": [_line(checked, line) for line in checked.order.lines],
        "pushrod": pushrod_rows(checked.facts),
        "questions": list(dict.fromkeys(gauge_question(checked.facts, line) for line in checked.order.lines)),
        "risk": risk_shown(checked),
        "risk_freedom": risk_freedom_shown(checked) if risk_shown(checked) else "",
        "turns": list(settings(checked.facts)),
        "unknown": list(_unknown(checked)),
        "next_stage": next_stage(checked),
        "ahead": findings(checked, ahead),
        "missing": list(summary_rows(checked, [r for r in checked.results if r.waits and r not in ahead])),
        "bench": next_steps(checked),
        "loosened": [row for row in limits if row["loosened"]],
        "tightened": [row for row in limits if not row["loosened"]],
        "conceded": conceded(checked),
        "carried": carried_rows(checked) if not checked.problems else [],
        "void": void_rows(checked) if not checked.problems else [],
        "valves": list(valve_rows(checked)) if checked.facts.cylinders and not checked.problems else [],
        "passes": list(summary_rows(checked, [r for r in checked.results if r.kind == "pass"])),
        "inapplicable": reasons(checked),
        "numbers": list(_numbers(checked)) if not checked.problems else [],
        "stack_up": stack_up(checked) if not checked.problems else [],
        "usual_cautions": USUAL,
        "cautions": list(dict.fromkeys(text for r in reported if (text := checked.rules[r.rule].caution))),
        "sources": sorted({checked.rules[r.rule].source for r in checked.results if r.kind != "notApplicable"}),
        "inputs": [*(f"{name}.yaml" for name in sorted(checked.build.roots)), *sorted(checked.build.parts)],
        "purpose": checked.facts.text("build.purpose") if checked.facts.node("build.purpose") else "",
    }


def _overview(checked: CheckedBuild) -> Iterator[str]:
    """What a reader with two minutes wants counted."""
    if checked.problems:
        return
    due = [result for result in checked.results if result.due_now]
    kinds = Counter("conceded" if result.concession is not None else result.kind for result in due)
    parts = {"pass": "passed", "fail": "failed", "open": "undecided", "conceded": "conceded"}
    reported = ", ".join(f"{kinds[kind]} {word}" for kind, word in parts.items() if kinds[kind] or kind == "fail")
    missed = [result.blocks for result in due if result.concession is None and result.kind in ("fail", "open")]
    reported = f"{counted(sum(kinds[kind] for kind in parts), 'check')} due: {reported}"
    blocking = sum(missed)
    yield f"{reported} ({blocking or 'none'} of these {'blocks' if blocking < 2 else 'block'})" if missed else reported
    valves = list(checked.facts.subjects("valve"))
    yield f"{sum(measured(checked, subject) for subject in valves)} of {len(valves)} valves measured"
    loosened = sum(row["loosened"] for row in limit_rows(checked))
    yield f"{counted(loosened, 'limit')} loosened" if loosened else "no limit loosened"


def _line(checked: CheckedBuild, line: OrderLine) -> dict[str, Any]:
    hole = line.length.gauge_hole
    return {
        "count": line.count,
        "spares": line.spares,
        "length": show(line.length.stated, "length", checked.facts.system),
        "stated_as": line.length.stated_as + (f", hole {hole.value}" if hole is not None else ""),
        "kind": "stock" if line.length.stock else "made to length",
        "serves": subjects_text(line.serves),
        "assumed": subjects_text(line.assumed),
    }


def _unknown(checked: CheckedBuild) -> Iterator[tuple[str, str]]:
    """Valves without a known length, grouped by the reason."""
    reasons: dict[str, list[Subject]] = {}
    for subject, why in checked.order.unknown:
        reasons.setdefault(why.reason, []).append(subject)
    yield from ((subjects_text(own), reason) for reason, own in reasons.items())


def _numbers(checked: CheckedBuild) -> Iterator[tuple[str, str, str]]:
    """Quantities of the build and its valve types, one row each."""
    rows: dict[str, list[tuple[str, Value]]] = {}
    for name, subject, value in quantities(checked.facts):
        quantity = checked.facts.quantities[name]
        if quantity.listed and quantity.per in ("build", "valve_type") and value.kind != "count":
            rows.setdefault(name, []).append((subject.text, value))
    for name, values in rows.items():
        each = [(who, value_text(value, checked.facts.system)) for who, value in values]
        alike = len(each) > 1 and len({text for _, text in each}) == 1
        reported = each[0][1] if alike else "; ".join(f"{who} {text}".strip() for who, text in each)
        yield checked.facts.quantities[name].title, name, reported
