"""What the report shows, as plain text in plain structures: the template only lays it out."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from buildcheck.check import Checked, quantities
from buildcheck.messages import limits_shown, shown
from buildcheck.order import Line
from buildcheck.quantity import show
from buildcheck.report.adjuster import settings
from buildcheck.report.inapplicable import reasons
from buildcheck.report.next_steps import next_steps
from buildcheck.report.prediction import stack_up
from buildcheck.results import Group, Result, grouped
from buildcheck.subjects import Subject
from buildcheck.values import NotApplicable, Undecided, Value
from buildcheck.wording import subjects_shown, verdict_shown

_MARKS = {"fail": "✗", "open": "?", "pass": "✓", "notApplicable": "–"}
_ALERTS = {"fail": "CAUTION", "open": "WARNING", "pass": "NOTE"}


@dataclass(frozen=True, slots=True)
class Folded:
    """One rule's passes or not-applicables in one row."""

    rule: str
    title: str
    count: int
    closest: str
    whose: str


def view(checked: Checked) -> dict[str, Any]:
    """Everything the template needs."""
    told = sorted((r for r in checked.results if r.is_finding), key=_urgency)
    return {
        "name": checked.build.name,
        "stage": checked.terms.stage,
        "verdict": verdict_shown(checked),
        "alert": _ALERTS[checked.verdict],
        "problems": checked.problems,
        "blocking": _said_once([_finding(checked, g) for g in grouped(r for r in told if r.blocks)]),
        "waiting": _said_once(
            [_finding(checked, g) for g in grouped(r for r in told if not r.blocks and r.concession is None)]
        ),
        "order": [_line(checked, line) for line in checked.order.lines],
        "turns": list(settings(checked.facts)),
        "unknown": list(_unknown(checked)),
        "missing": list(_folded(checked, [r for r in checked.results if r.waits])),
        "limits": list(_limits(checked)),
        "bench": next_steps(checked),
        "conceded": [_finding(checked, g) for g in grouped(r for r in checked.results if r.concession is not None)],
        "valves": list(_valves(checked)) if checked.facts.cylinders and not checked.problems else [],
        "passes": list(_folded(checked, [r for r in checked.results if r.kind == "pass"])),
        "inapplicable": reasons(checked),
        "numbers": list(_numbers(checked)) if not checked.problems else [],
        "stack_up": stack_up(checked) if not checked.problems else [],
        "cautions": list(dict.fromkeys(text for r in told if (text := checked.rules[r.rule].caution))),
        "sources": sorted({rule.source for rule in checked.rules.rules}),
        "purpose": checked.facts.text("build.purpose") if checked.facts.node("build.purpose") else "",
    }


def _urgency(result: Result) -> tuple[Any, ...]:
    return (result.kind != "fail", not result.blocks, result.rule, result.subject.order)


def _finding(checked: Checked, group: Group) -> dict[str, Any]:
    result = group.first
    rule, system = checked.rules[result.rule], checked.facts.system
    margin = show(result.margin, result.value.kind, system) if result.margin is not None and result.value else ""
    return {
        "mark": _MARKS[result.kind],
        "level": "not yet" if not result.due_now else "open" if result.kind == "open" else rule.level,
        "rule": result.rule,
        "title": rule.title,
        "subject": subjects_shown(group.subjects) or "the build",
        "value": shown(result.value, system) if result.value is not None else "",
        "said": result.value.said if result.value is not None else "",
        "limit": limits_shown(result.bounds, system),
        "margin": margin,
        "place": f"{result.place.file}:{result.place.line}",
        "link": f"{result.place.file}#L{result.place.line}",
        "message": result.message,
        "cure": rule.fix if result.kind == "fail" else _after(result.message),
        "due": rule.due,
        "concession": result.concession,
    }


def _said_once(rows: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """The rows, a cure that stands in the row above not written out again."""
    above = [None, *(row["cure"] for row in rows)]
    return [
        {**row, "cure": "as above"} if row["cure"] and row["cure"] == before else row
        for row, before in zip(rows, above, strict=False)
    ]


def _after(message: str) -> str:
    """What an open result lacks: the part of its message behind the value."""
    for cut in ("cannot be told: ", "this instrument cannot tell; "):
        if cut in message:
            return message.split(cut, 1)[1]
    return message


def _line(checked: Checked, line: Line) -> dict[str, Any]:
    hole = line.offer.gauge_hole
    return {
        "count": line.count,
        "spares": line.spares,
        "length": show(line.offer.stated, "length", checked.facts.system),
        "stated_as": line.offer.stated_as + (f", hole {hole.value}" if hole is not None else ""),
        "kind": "stock" if line.offer.stock else "made to length",
        "serves": subjects_shown(line.serves),
        "assumed": subjects_shown(line.assumed),
    }


def _unknown(checked: Checked) -> Iterator[tuple[str, str]]:
    """Valves whose length cannot be told, gathered by the reason."""
    reasons: dict[str, list[Subject]] = {}
    for subject, why in checked.order.unknown:
        reasons.setdefault(why.reason, []).append(subject)
    yield from ((subjects_shown(own), reason) for reason, own in reasons.items())


def _limits(checked: Checked) -> Iterator[dict[str, str]]:
    """Limits that the team or the build set, loosened ones first."""
    rows = []
    for rule_id in checked.limits.changed():
        rule = checked.rules[rule_id]
        for side, bound in checked.limits.in_force(rule).items():
            if bound.origin != "rule":
                loosened = checked.limits.loosened(rule, side, checked.facts)
                rows.append((not loosened, rule_id, side, bound, loosened))
    for _, rule_id, side, bound, loosened in sorted(rows, key=lambda row: row[:3]):
        own = checked.rules[rule_id].bounds[side]
        yield {
            "rule": rule_id,
            "change": "loosened" if loosened else "tightened or as strict",
            "own": f"{side.replace('_', ' ')} {own.text}",
            "now": bound.limit.text,
            "by": bound.origin,
            "because": bound.because,
        }


def _valves(checked: Checked) -> Iterator[dict[str, str]]:
    for subject in checked.facts.subjects("valve"):
        own = [r for r in checked.results if r.subject == subject and r.due_now]
        bad = sorted({r.rule for r in own if r.kind == "fail" and r.concession is None})
        conceded = sorted({r.rule for r in own if r.concession is not None})
        undecided = sorted({r.rule for r in own if r.kind == "open" and r.concession is None})
        verdict = f"fails {', '.join(bad)}" if bad else f"open: {', '.join(undecided)}" if undecided else "passes"
        verdict += f"; conceded: {', '.join(conceded)}" if conceded else ""
        yield {
            "who": subject.text,
            "asked": _cell(checked, "length_asked", subject),
            "offset": _cell(checked, "mark_offset", subject, signed=True),
            "width": _cell(checked, "mark_width", subject),
            "margin": _cell(checked, "mark_edge_margin", subject),
            "height": _cell(checked, "height_error", subject, signed=True),
            "set": _cell(checked, "preload", subject) or _cell(checked, "lash", subject),
            "verdict": verdict if _measured(checked, subject) else "assumed, not measured",
        }


def _measured(checked: Checked, subject: Subject) -> bool:
    try:
        return bool(checked.facts.get("valve_measured", subject).si)
    except (Undecided, NotApplicable):
        return False


def _cell(checked: Checked, name: str, subject: Subject, signed: bool = False) -> str:
    try:
        value = checked.facts.get(name, subject)
    except NotApplicable:
        return ""
    except Undecided:
        return "?"
    text = show(value.si, value.kind, checked.facts.system)
    if not value.sign_known:
        return f"±{text}"
    return f"+{text}" if signed and value.si > 0 and text.strip("0. inm") else text


def _folded(checked: Checked, results: list[Result]) -> Iterator[Folded]:
    for rule in checked.rules.rules:
        own = [r for r in results if r.rule == rule.id]
        if own:
            closest = min(own, key=lambda r: (r.margin is None, r.margin, r.subject.order))
            text = _passing(checked, closest) if closest.kind == "pass" else _after(closest.message)
            yield Folded(rule.id, rule.title, len(own), text, closest.subject.text or "the build")


def _passing(checked: Checked, result: Result) -> str:
    system = checked.facts.system
    return f"{shown(result.value, system)}, {limits_shown(result.bounds, system)}" if result.value else ""


def _numbers(checked: Checked) -> Iterator[tuple[str, str, str]]:
    """Quantities of the build and its valve types, one row each."""
    rows: dict[str, list[tuple[str, Value]]] = {}
    for name, subject, value in quantities(checked.facts):
        quantity = checked.facts.quantities[name]
        if quantity.listed and quantity.per in ("build", "valve_type") and value.kind != "count":
            rows.setdefault(name, []).append((subject.text, value))
    for name, values in rows.items():
        each = [(who, shown(value, checked.facts.system)) for who, value in values]
        alike = len(each) > 1 and len({text for _, text in each}) == 1
        told = each[0][1] if alike else "; ".join(f"{who} {text}".strip() for who, text in each)
        yield checked.facts.quantities[name].title, name, told
