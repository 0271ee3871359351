"""A comparison as Markdown for a pull request: verdicts first, one line each, long lists folded."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from buildcheck.core.escape import at_line_start
from buildcheck.core.problem import Place
from buildcheck.output.compare.changed_inputs import InputChange
from buildcheck.output.compare.compare_wording import (
    heading,
    input_text,
    neutral_text,
    new_state_text,
    note_count,
    quantity_lines,
    summary,
    verdict_line,
)
from buildcheck.output.compare.comparison import Change, Comparison
from buildcheck.output.compare.verdict_changes import VerdictChange
from buildcheck.output.markdown import md

_FOLDED_FROM = 12


def write(comparison: Comparison) -> str:
    """The whole comparison; links are left out, as a comment has no folder."""
    lines = [f"## {md(comparison.before.label)} → {md(comparison.after.label)}", "", f"{md(summary(comparison))}."]
    errors = [f"✗ {md(one.place)}: {md(one.message)}" for one in comparison.problems]
    team = [f"{md(one.place)}: {md(input_text(one))}" for one in comparison.team]
    lines += _section("Errors in the team's rules, settings or folders", errors)
    lines += _section("Rules and limits of the team", [*team, *(f"rule {md(rule)}" for rule in comparison.rules)])
    for change in comparison.changes:
        lines += _change(change)
    return "".join(f"{line}\n" for line in lines)


def _change(change: Change) -> Iterator[str]:
    judged_inputs = [one for one in change.inputs if not one.remark]
    name = md(at_line_start(change.name))
    yield from ["", f"### {md(change.folder)}: {heading(change)}", "", f"{name}. {md(new_state_text(change))}"]
    problems = change.after.problems if change.after is not None else ()
    yield from _section("Errors in the files", (f"✗ {md(one.place)}: {md(one.message)}" for one in problems))
    verdict_changes = [(one, _verdict_change(one, change.folder)) for one in change.verdict_changes]
    yield from _section("Blocks now and did not before", (text for one, text in verdict_changes if one.newly_blocks))
    others = [(one, text) for one, text in verdict_changes if not one.newly_blocks and not one.is_neutral]
    yield from _section("Changed verdicts", (text for one, text in others if one.by_inputs))
    yield from _section("Verdicts changed although no input changed", (text for o, text in others if not o.by_inputs))
    yield from _section("Rules that began or ceased to apply", map(md, neutral_text(change.verdict_changes)))
    yield from _section("Inputs", (_input(one, change.folder) for one in judged_inputs if not one.is_limit))
    yield from _section("Limits of this build", (_input(one, change.folder) for one in judged_inputs if one.is_limit))
    if remarks := note_count(change.inputs):
        yield from ["", f"{remarks}."]
    yield from _section(
        "Quantities changed by more than their uncertainty", map(md, quantity_lines(change.quantity_changes))
    )
    gone = [f"no longer: {md(line)}" for line in change.order_before]
    yield from _section("Order", [*gone, *(f"now: **{md(line)}**" for line in change.order_after)])


def _section(title: str, lines: Iterable[str]) -> Iterator[str]:
    found = list(lines)
    if not found:
        return
    if len(found) < _FOLDED_FROM:
        yield from ["", f"**{title}**", "", *(f"- {line}" for line in found)]
    else:
        summary_line = f"<details><summary>{title} ({len(found)})</summary>"
        yield from ["", summary_line, "", *(f"- {line}" for line in found), "", "</details>"]


def _verdict_change(change: VerdictChange, folder: str) -> str:
    mark = "✗ " if change.newly_blocks else ""
    return (
        f"{mark}**{change.rule}**, {md(verdict_line(change))}. {md(change.message)} ({md(_at(change.place, folder))})"
    )


def _input(one: InputChange, folder: str) -> str:
    return f"{md(_at(one.place, folder))}: {md(input_text(one))}"


def _at(place: Place, folder: str) -> str:
    """File and line: of the build's own file as it is called there, of a part from the repository's root."""
    file = place.rebased_on(folder).file if place.is_shared else place.file
    return f"{file}:{place.line}"
