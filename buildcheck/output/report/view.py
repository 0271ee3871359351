"""What a report shows, section by section, as plain text in records: the template only lays it out."""

from __future__ import annotations

from buildcheck.app.build_check import CheckedBuild
from buildcheck.core.problem import Problem
from buildcheck.output.cause_groups import CauseGroup, cause_groups
from buildcheck.output.report.blocking_causes import BlockingCause, blocking_cause
from buildcheck.output.report.finding_rows import (
    FindingRow,
    SummaryRow,
    conceded,
    findings,
    non_blocking_rows,
    summary_rows,
)
from buildcheck.output.report.limit_rows import LimitRow, limit_rows
from buildcheck.output.report.next_stage import blocks_later, next_stage
from buildcheck.output.report.next_steps import NextSteps, next_steps
from buildcheck.output.report.not_applicable_rows import Reason, reasons
from buildcheck.output.report.opening import Opening, opening
from buildcheck.output.report.order_section import OrderSection, order_section
from buildcheck.output.report.quantity_rows import QuantityRow, quantity_rows
from buildcheck.output.report.stackup_rows import StackupRow, stack_up
from buildcheck.output.report.state_rows import CarriedRow, VoidRow, carried_rows, void_rows
from buildcheck.output.report.valve_rows import ValveRow, valve_rows
from buildcheck.record import Record


class Findings(Record):
    """What a reviewer reads of the results: what blocks, what to review, what is required later or lacks readings."""

    blocking: tuple[BlockingCause, ...]
    conceded: tuple[FindingRow, ...]
    to_review: tuple[FindingRow, ...]
    later: tuple[FindingRow, ...]
    next_stage: str
    at_next_stage: tuple[FindingRow, ...]
    awaiting: tuple[SummaryRow, ...]
    passes: tuple[SummaryRow, ...]
    inapplicable: tuple[Reason, ...]


class Details(Record):
    """The tables of a build that can be read; all are empty while its files have errors."""

    valves: tuple[ValveRow, ...] = ()
    carried: tuple[CarriedRow, ...] = ()
    void: tuple[VoidRow, ...] = ()
    stack_up: tuple[StackupRow, ...] = ()
    quantities: tuple[QuantityRow, ...] = ()


class ReportView(Record):
    """All that a report shows."""

    opening: Opening
    problems: tuple[Problem, ...]
    findings: Findings
    order: OrderSection
    next_steps: NextSteps
    loosened: tuple[LimitRow, ...]
    tightened: tuple[LimitRow, ...]
    details: Details
    cautions: tuple[str, ...]
    sources: tuple[str, ...]
    inputs: tuple[str, ...]


def report_view(checked: CheckedBuild) -> ReportView:
    """Everything the template needs."""
    limits = limit_rows(checked)
    loosened = tuple(row for row in limits if row.loosened)
    blocking = [group for group in cause_groups(checked) if group.blocks]
    cautions = (checked.rules[result.rule].caution for result in checked.results if result.is_finding)
    return ReportView(
        opening=opening(checked, blocking, len(loosened)),
        problems=tuple(checked.problems),
        findings=_findings(checked, blocking),
        order=order_section(checked),
        next_steps=next_steps(checked),
        loosened=loosened,
        tightened=tuple(row for row in limits if not row.loosened),
        details=_details(checked),
        cautions=tuple(dict.fromkeys(filter(None, cautions))),
        sources=tuple(sorted({checked.rules[r.rule].source for r in checked.results if r.kind != "notApplicable"})),
        inputs=(*(f"{name}.yaml" for name in sorted(checked.build.roots)), *sorted(checked.build.parts)),
    )


def _findings(checked: CheckedBuild, blocking: list[CauseGroup]) -> Findings:
    results, ahead = checked.results, blocks_later(checked)
    shown = {(result.rule, result.subject) for group in blocking for result in group.members}
    rest = [r for r in results if r.is_finding and (r.rule, r.subject) not in shown and r.concession is None]
    return Findings(
        blocking=tuple(blocking_cause(checked, group) for group in blocking),
        conceded=tuple(conceded(checked)),
        to_review=tuple(non_blocking_rows(checked, (result for result in rest if result.due_now))),
        later=tuple(non_blocking_rows(checked, (result for result in rest if not result.due_now))),
        next_stage=next_stage(checked),
        at_next_stage=tuple(findings(checked, ahead)),
        awaiting=tuple(summary_rows(checked, [r for r in results if r.waits and r not in ahead])),
        passes=tuple(summary_rows(checked, [r for r in results if r.kind == "pass"])),
        inapplicable=tuple(reasons(checked)),
    )


def _details(checked: CheckedBuild) -> Details:
    if checked.problems:
        return Details()
    return Details(
        valves=tuple(valve_rows(checked)) if checked.facts.cylinders else (),
        carried=tuple(carried_rows(checked)),
        void=tuple(void_rows(checked)),
        stack_up=tuple(stack_up(checked)),
        quantities=tuple(quantity_rows(checked)),
    )
