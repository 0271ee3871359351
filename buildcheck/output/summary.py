"""A job's summary as Markdown: the verdict of each build, then what was found, failures first."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from buildcheck.app.build_check import CheckedBuild
from buildcheck.app.rule_context import RuleContext
from buildcheck.core.plural import counted
from buildcheck.core.problem import Problem
from buildcheck.output.annotation import Annotation, findings_for, from_top, input_annotations
from buildcheck.output.markdown import md, rule_link
from buildcheck.output.wording import level_text, outcome_text

ROOM = 1_000_000
"""Bytes: a job summary takes up to 1 MiB, and is not shown at all above it."""
_HEAD = ("| Build | Stage | Verdict | Blocking | Warnings | Not due | Passed |", "|---|---|---|--:|--:|--:|--:|")
_LEVELS = ("error", "warning", "note")


def render_build(context: RuleContext, checked: CheckedBuild) -> tuple[str, list[Annotation]]:
    """A build's row, and its findings."""
    return _build(context, checked), findings_for(context, checked, together=True)


def render_document(
    context: RuleContext, problems: Sequence[Problem], parts: Iterable[tuple[str, list[Annotation]]]
) -> Iterator[str]:
    """One table of builds, one of findings, cut with a word where there is no more room."""
    rows, found = [], input_annotations(context, problems)
    for row, findings in parts:
        rows.append(row)
        found += findings
    found = [one for one in found if one.due]
    failing = {one.build for one in found if one.level == "error"}
    found.sort(key=lambda one: (_LEVELS.index(one.level), one.build not in failing, one.places, one.rule))
    builds = [*_HEAD, *rows] if rows else ["No build was judged."]
    lines = ["## buildcheck", "", *builds, "", *_findings(context, found)]
    yield from (f"{line}\n" for line in _cut(lines, len(found)))


def _build(context: RuleContext, checked: CheckedBuild) -> str:
    counts = (str(number) for number in _counts(checked))
    name = f"{md(from_top(context, checked.build.folder))}: {md(checked.build.name)}"
    cells = (name, checked.options.stage, md(outcome_text(checked)))
    return f"| {' | '.join([*cells, *counts])} |"


def _counts(checked: CheckedBuild) -> Iterator[int]:
    """Results that block, that warn, that no rule requires yet, and that pass; problems of the files block too."""
    levels = [level_text(result) for result in checked.results if result.due_now]
    later = [result for result in checked.unmet if not result.due_now]
    blocking = sum(result.blocks for result in checked.unmet)
    yield blocking + len(checked.problems)
    yield levels.count("warning")
    yield sum(not result.blocks and result.concession is None for result in later)
    yield sum(result.kind == "pass" for result in checked.results)


def _findings(context: RuleContext, found: Sequence[Annotation]) -> Iterator[str]:
    if found:
        yield from ("| Level | Place | Finding | Rule |", "|---|---|---|---|")
    for one in found:
        place = f"{one.places[0].file}:{one.places[0].line}"
        yield f"| {one.level} | {md(place)} | {md(one.message)} | {_rule(context, one.rule)} |"


def _rule(context: RuleContext, rule: str) -> str:
    """The id of a rule, as a link if the team names the address of its page."""
    return rule_link(rule, context.repository.rule_page(rule) if rule in context.rules else "")


def _cut(lines: Sequence[str], found: int) -> Iterator[str]:
    room = ROOM
    for number, line in enumerate(lines):
        room -= len(line.encode("utf-8", "replace")) + 1
        if room < 0:
            yield from ("", f"{counted(min(len(lines) - number, found), 'finding')} more: see the step's log.")
            return
        yield line
