"""The report's rows of findings: subjects, the value against its limit, what to do, and what would settle it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from buildcheck.app.build_check import CheckedBuild
from buildcheck.core.concession import Concession
from buildcheck.core.reason import NotProven, underlying
from buildcheck.core.value import Value
from buildcheck.output.correction_wording import fix_text
from buildcheck.output.finding_wording import Group, grouped, lacking, undecided_text, void_text
from buildcheck.output.value_wording import decimals_more, limits_text, spread_kind, value_and_remark, value_text
from buildcheck.output.wording import subjects_text
from buildcheck.record import Record, replace
from buildcheck.rules.results import Result
from buildcheck.units.quantity import show

HARD = ("clearances", "springs")
"""Areas of rules where metal meets metal: what is loosened or conceded there comes first."""

_MARKS = {"fail": "✗", "open": "?"}


class FindingRow(Record):
    """Findings alike in one row: their sign and level, their rules and valves, what was found, and what to do."""

    mark: str
    level: str
    due: str
    rule: str
    subject: str
    against: tuple[str, ...]
    place: str
    link: str
    cure: str
    concession: Concession | None


class SummaryRow(Record):
    """One rule's passes or not-applicables in one row."""

    rule: str
    count: int
    closest: str
    subject: str


def findings(checked: CheckedBuild, results: Iterable[Result]) -> list[FindingRow]:
    """One row each, failures first."""
    return _without_repetition([_finding(checked, group) for group in grouped(checked, sorted(results, key=_urgency))])


def non_blocking_rows(checked: CheckedBuild, results: Iterable[Result]) -> list[FindingRow]:
    """Rows of what does not block; rules that lack the same of the same valves stand in one row."""
    rows: dict[tuple[str, ...], list[FindingRow]] = {}
    for row in (_finding(checked, group) for group in grouped(checked, sorted(results, key=_urgency))):
        columns = (row.rule, row.place, *row.against) if row.against else (row.level, row.cure)
        rows.setdefault((row.subject, *columns), []).append(row)
    return _without_repetition([_with_all_rules(alike) for alike in rows.values()])


def _with_all_rules(alike: list[FindingRow]) -> FindingRow:
    return replace(alike[0], rule=", ".join(row.rule for row in alike))


def _without_repetition(rows: list[FindingRow]) -> list[FindingRow]:
    """A cure shown in the row above is not repeated."""
    above = [None, *(row.cure for row in rows)]
    return [replace(row, cure="as above") if row.cure == cure else row for row, cure in zip(rows, above, strict=False)]


def conceded(checked: CheckedBuild) -> list[FindingRow]:
    """What was conceded, hard clearances foremost."""
    results = [result for result in checked.results if result.concession is not None]
    rows = [_finding(checked, group) for group in grouped(checked, results)]
    return sorted(rows, key=lambda row: checked.rules[row.rule].area not in HARD)


def summary_rows(checked: CheckedBuild, results: list[Result]) -> Iterator[SummaryRow]:
    """Each rule's results in one row with the closest call of them."""
    by_rule: dict[str, list[Result]] = {}
    for result in results:
        by_rule.setdefault(result.rule, []).append(result)
    for rule in (rule.id for rule in checked.rules.rules if rule.id in by_rule):
        of_rule = by_rule[rule]
        closest = min(of_rule, key=lambda r: (r.margin is None, r.margin, r.subject.order))
        is_pass = closest.kind == "pass"
        text = _passing(checked, closest) if is_pass else lacking(closest, checked.facts.system, brief=True)
        yield SummaryRow(rule, len(of_rule), text, closest.subject.text or "the build")


def _urgency(result: Result) -> tuple[Any, ...]:
    return (result.kind != "fail", not result.blocks, result.rule, result.subject.order)


def _finding(checked: CheckedBuild, group: Group) -> FindingRow:
    result = group.first
    return FindingRow(
        mark=_MARKS[result.kind],
        level="undecided" if result.kind == "open" else checked.rules[result.rule].level,
        due="" if result.due_now else result.due,
        rule=result.rule,
        subject=subjects_text(group.subjects) or "the build",
        against=tuple(_titled(checked, result)),
        place=f"{result.place.file}:{result.place.line}",
        link=f"{result.place.file}#L{result.place.line}",
        cure=with_void(cure_text(checked, result), result),
        concession=result.concession,
    )


def _titled(checked: CheckedBuild, result: Result) -> Iterator[str]:
    """Value with its title, limit and margin; a count speaks for itself."""
    found = list(against(checked, result))
    if found and not (result.value is not None and result.value.kind == "count"):
        found[0] = f"{checked.rules[result.rule].title}: {found[0]}"
    yield from found


def against(checked: CheckedBuild, result: Result) -> Iterator[str]:
    """Value, limit and margin, as far as there are any; of a count only what it says."""
    value, system = result.value, checked.facts.system
    if isinstance(reason := underlying(result.reason), NotProven):
        yield reason.found
    if value is None:
        return
    finer = 0 if result.kind == "pass" else decimals_more(value, result.bounds, result.margin, system)
    yield _read(value, value_and_remark(value, system, finer))
    if value.kind != "count":
        yield limits_text(result.bounds, system, finer)
    if result.margin is not None and value.kind != "count":
        margin = show(abs(result.margin), spread_kind(value.kind), system, finer)
        yield f"short by {margin}" if result.margin < 0 else f"{margin} to spare"


def _read(value: Value, text: str) -> str:
    """A value's text; one that comes from the files with nothing said of how sure it is says so."""
    silent = value.places and not value.expanded and "±" not in value.remark and value.kind not in ("count", "ratio")
    return f"{text}, no uncertainty stated" if silent else text


def cure_text(checked: CheckedBuild, result: Result) -> str:
    """What to do about a failure, or what would settle an undecided result."""
    return fix_text(result.fix) if result.kind == "fail" else _settled(result, checked.facts.system)


def with_void(cure: str, result: Result) -> str:
    """The cure, and why a concession of this result does not hold."""
    return f"{cure} {void_text(result.void)}".strip() if result.void is not None else cure


def _settled(result: Result, system: str) -> str:
    """What would settle an open result: what to measure, or how well, and where most of the doubt comes from."""
    missing = lacking(result, system, brief=True)
    if result.value is None:
        return missing
    doubt = _uncertainty_text(result.value, system)
    return f"{undecided_text(missing)}{f' {doubt}' if doubt else ''}"


def _uncertainty_text(value: Value, system: str) -> str:
    """Where the largest part of the uncertainty comes from, where there are several."""
    if len(value.parts) < 2:
        return ""
    source, part = max(value.parts.items(), key=lambda each: (abs(each[1]), each[0]))
    return f"The largest part, {show(2 * abs(part), spread_kind(value.kind), system)}, comes from {_named(source)}."


def _named(source: str) -> str:
    """A source of uncertainty without its column: ``marks.yaml:21:18 feel`` is ``marks.yaml:21, feel``."""
    place, _, what = source.partition(" ")
    if ":" not in place:
        return source
    line = place.rpartition(":")[0]
    return f"{line}, {what}" if what else line


def _passing(checked: CheckedBuild, result: Result) -> str:
    if result.value is None:
        return ""
    if result.value.kind == "count":
        return value_and_remark(result.value, checked.facts.system)
    value = _read(result.value, value_text(result.value, checked.facts.system))
    return f"{value}; {limits_text(result.bounds, checked.facts.system)}"
