"""A comparison in words, the same in text and Markdown."""

from __future__ import annotations

from collections.abc import Iterator

from buildcheck.app.build_check import CheckedBuild
from buildcheck.build.reading_history import ChangedPart
from buildcheck.core.plural import counted, verb
from buildcheck.core.subject import Subject
from buildcheck.output.compare.changed_inputs import InputChange
from buildcheck.output.compare.changed_quantities import QuantityChange, QuantityChanges
from buildcheck.output.compare.comparison import BuildChange, Comparison
from buildcheck.output.compare.relaxations import Relaxation, new_concessions
from buildcheck.output.compare.verdict_changes import VerdictChange
from buildcheck.output.wording import conceded_text, line_text, subjects_text, verdict_text

_LONGEST = 200


def summary(comparison: Comparison) -> str:
    """How many builds changed, how many cannot be judged, and whether anything blocks as new."""
    newly_blocking = sum(change.newly_blocks for change in comparison.changes)
    unreadable = sum(change.is_unreadable for change in comparison.changes)
    texts = [f"{counted(unreadable, 'build')} cannot be judged"] if unreadable else []
    texts += [f"{counted(newly_blocking, 'new result')} {verb(newly_blocking, 'block')}"] if newly_blocking else []
    changed = f"{counted(len(comparison.changes), 'build')} changed, {comparison.unchanged} did not"
    return f"{changed}; {', '.join(texts) or 'nothing new blocks'}"


def heading(change: BuildChange) -> str:
    """The verdict before and after in a few words."""
    before, after = change.verdicts
    if not before:
        return in_words(f"new, {after}")
    if not after:
        return in_words(f"gone, was {before}")
    return in_words(f"{before} → {after}" if before != after else f"{after}, as before")


def in_words(states: str) -> str:
    """Verdicts and results as people read them: ``open``, the word of the data, is undecided."""
    return states.replace("open", "undecided")


def new_state_text(change: BuildChange) -> str:
    """What the new state amounts to, and under which name the build went before."""
    moved = f"Renamed from {change.folder_before}. " if change.folder_before not in ("", change.folder) else ""
    return f"{moved}{verdict_text(change.after)}." if change.after is not None else "No build here any more."


def input_text(one: InputChange) -> str:
    """Old → new, or what came or went; a whole file by its name alone."""
    what = f"{one.path}: " if one.path else ""
    if not one.path:
        return f"this file is new: {_cut(one.after)}" if one.after else "this file was removed"
    if not one.before:
        return f"{what}new: {_cut(one.after)}"
    if not one.after:
        return f"{what}gone, was {_cut(one.before)}"
    same = ", same value" if one.same else ""
    return f"{what}{_cut(one.before)} → {_cut(one.after)}{same}"


REASON_NAMES = {
    "limit": "loosened limit",
    "another limit": "loosened limit of another rule",
    "stage": "earlier stage",
    "rule": "replaced rule",
    "rule removed": "removed rule",
    "acceptance": "an earlier acceptance",
}
"""Cause of a relaxation -> its name."""


def relaxation_text(one: Relaxation) -> str:
    """Which result is relaxed, by what, and what the old terms find."""
    who = subjects_text(one.subjects)
    about = f"{one.rule}, {who}" if who else one.rule or "every rule"
    outcome = "passes" if one.passes else "does not block"
    why = " and ".join(REASON_NAMES.get(cause, cause) for cause in one.causes)
    terms = f" ({one.terms})" if one.terms else ""
    found = "Without it" if one.causes == ("acceptance",) else "Under the old terms"
    return f"{about}: {outcome} only because of: {why}{terms}. {found}: {one.finding}"


def part_change_text(one: ChangedPart) -> str:
    """A part's old and new value, and the readings that were taken with the old one."""
    if one.corrected:
        who = f"corrected in state '{one.corrected}'; readings unchanged: {subjects_text(one.subjects)}"
        return f"{one.title}: {one.before} → {one.after}, {who}. Confirm that it is the same part, measured again"
    motion = f"motion at {subjects_text(one.motion)}" if one.motion else ""
    who = "; ".join(filter(None, [subjects_text(one.subjects), ", ".join(one.clearances), motion]))
    advice = "Enter the engine's states in marks.yaml, or take the readings again"
    return f"{one.title}: {one.before} → {one.after}; readings unchanged: {who}. {advice}"


def relaxed_terms(change: BuildChange) -> tuple[str, ...]:
    """Limits loosened, concessions taken into use and acceptances given or withdrawn since the old state."""
    conceded = new_concessions(change.before, change.after) if change.after is not None else ()
    accepted = [change.acceptance] if change.acceptance else []
    return (
        *accepted,
        *(one.text for one in change.loosened),
        *(f"{rule}: {conceded_text(one)}" for rule, one in conceded),
    )


def blocking_rules(change: BuildChange) -> tuple[str, ...]:
    """The rules that block the new state, each once with the subjects it blocks; what cannot be read counts as one."""
    found = _blocked(change)
    return tuple(f"{rule} ({who})" if (who := subjects_text(subjects)) else rule for rule, subjects in found.items())


def blocking_names(change: BuildChange) -> tuple[str, ...]:
    """As ``blocking_rules``, without the subjects."""
    return tuple(_blocked(change))


def _blocked(change: BuildChange) -> dict[str, list[Subject]]:
    found: dict[str, list[Subject]] = {}
    if change.after is None:
        return found
    if change.after.problems:
        return {counted(len(change.after.problems), "error"): []}
    for result in change.after.results:
        cause = change.after.causes.get((result.rule, result.subject))
        if result.blocks and not (cause is not None and cause.blocks):
            found.setdefault(result.rule, []).append(result.subject)
    return found


def verdict_line(change: VerdictChange) -> str:
    """Which verdict changed, how, and why."""
    why = "" if change.causes == ("inputs",) else f", because of: {', '.join(change.causes)}"
    which = "worst on" if change.is_measured else "first of them"
    several = f", {which} {change.worst.text}" if len(change.subjects) > 1 else ""
    flip = in_words(f"{change.before} → {change.after}")
    return f"{subjects_text(change.subjects) or 'the build'}: {flip}{several}{why}"


def order_change(change: BuildChange) -> str:
    """The order before and after in one clause; empty if it is the same."""
    before, after = (_ordered(checked) for checked in (change.before, change.after))
    return f"{before} → {after}" if before != after else ""


def _ordered(checked: CheckedBuild | None) -> str:
    """The order in one clause; none of it while the build blocks, as nothing may be ordered then."""
    if checked is None or checked.problems:
        return "none"
    if checked.exit_code:
        return "do not order"
    if checked.informing:
        return "as accepted"
    return "; ".join(line_text(line, checked.facts.system) for line in checked.order.lines) or "none"


def neutral_text(verdict_changes: tuple[VerdictChange, ...]) -> Iterator[str]:
    """Rules that only came to apply, or ceased to: one line for all that did so on the same valves."""
    groups: dict[tuple[str, str, str], list[str]] = {}
    for change in verdict_changes:
        if change.is_neutral:
            who = subjects_text(change.subjects) or "the build"
            groups.setdefault((who, change.before, change.after), []).append(change.rule)
    for (who, before, after), rules in groups.items():
        yield f"{who}: {in_words(f'{before} → {after}')}: {', '.join(rules)}"


def quantity_lines(changes: QuantityChanges) -> Iterator[str]:
    """Old and new values line by line, then what determined now, what no longer, and what moved less."""
    for one in changes.significant:
        if one.before and one.after:
            yield f"{_of(one)}: {one.before} → {one.after}"
    for title, texts in (
        ("determined now", [f"{_of(one)} {one.after}" for one in changes.significant if not one.before]),
        ("no longer determined", [_of(one) for one in changes.significant if not one.after]),
    ):
        if texts:
            yield f"{title}: {'; '.join(texts)}"
    if changes.insignificant:
        yield f"{changes.insignificant} more changed within their uncertainty"


def _of(one: QuantityChange) -> str:
    who = subjects_text(one.subjects)
    return f"{one.title} ({who})" if who else one.title


def note_count(inputs: tuple[InputChange, ...]) -> str:
    """How many remarks changed: they are never judged, so they are only counted."""
    remarks = sum(one.remark for one in inputs)
    return f"{counted(remarks, 'note')} changed too" if remarks else ""


def _cut(text: str) -> str:
    return text if len(text) <= _LONGEST else f"{text[:_LONGEST]}…"
