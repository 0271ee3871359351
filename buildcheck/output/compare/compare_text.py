"""A comparison for the terminal: one line each, with places that editors jump to."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from buildcheck.build.trials import ASSUMED_TO_APPLY
from buildcheck.core.escape import at_line_start, one_line
from buildcheck.core.problem import Place
from buildcheck.output.compare.changed_inputs import InputChange
from buildcheck.output.compare.compare_wording import (
    blocking_rules,
    heading,
    input_text,
    neutral_text,
    new_state_text,
    note_count,
    order_change,
    part_change_text,
    quantity_lines,
    relaxation_text,
    relaxed_terms,
    summary,
    verdict_line,
)
from buildcheck.output.compare.comparison import BuildChange, Comparison
from buildcheck.output.compare.moved_gaps import MovedGap, moved_gaps
from buildcheck.output.compare.moved_lifts import MovedLift, moved_lifts
from buildcheck.output.compare.verdict_changes import VerdictChange
from buildcheck.output.text import problem_line


def write(comparison: Comparison) -> str:
    """The whole comparison; places are relative to the repository."""
    labels = at_line_start(f"{comparison.before.label} → {comparison.after.label}")
    lines = [f"{labels}: {summary(comparison)}"]
    lines += map(one_line, _verdict_table(comparison))
    lines += map(one_line, _to_review(comparison))
    lines += [problem_line(problem, "") for problem in comparison.problems]
    lines += [f"team: {one_line(_input(one, ''))}" for one in comparison.team]
    lines += [f"rule {one_line(rule)}" for rule in comparison.rules]
    for change in comparison.changes:
        lines += ["", *map(one_line, _change(change))]
    return "".join(f"{line}\n" for line in lines)


def _verdict_table(comparison: Comparison) -> Iterator[str]:
    """One line for each build: the verdict before and after, what blocks, and what was loosened for it to pass."""
    for change in comparison.changes:
        blocks, relaxed = "; ".join(blocking_rules(change)), "; ".join(relaxed_terms(change))
        more = [f"blocks: {blocks}"] * bool(blocks) + [f"loosened or conceded: {relaxed}"] * bool(relaxed)
        stages = dict.fromkeys(one.terms for one in change.relaxations if "stage" in one.causes)
        more += [f"only because of an earlier stage: {'; '.join(stages)}"] * bool(stages)
        yield "  ".join([f"  {heading(change)}: {change.folder}", *more])


def _to_review(comparison: Comparison) -> Iterator[str]:
    """What passes only because its terms were relaxed, then parts that changed under unchanged readings."""
    for change in comparison.changes:
        for relaxed in change.relaxations:
            yield f"{_place(relaxed.place, change.folder)}: warning: {relaxation_text(relaxed)}"
    for change in comparison.changes:
        for part in change.part_changes:
            yield f"{_place(part.place, change.folder)}: warning: {part_change_text(part)}"


def _change(change: BuildChange) -> Iterator[str]:
    yield f"{at_line_start(change.folder)}: {heading(change)}. {new_state_text(change)}"
    if change.after is not None:
        yield from (problem_line(problem, change.folder) for problem in change.after.problems)
    if change.assumes_readings_apply:
        yield f"  {ASSUMED_TO_APPLY}"
    readings = (f"{_place(one.place, change.folder)}: {one.text}" for one in change.trial_changes)
    yield from _section("trials that became void, were rewritten or were removed", readings)
    judged_inputs = [one for one in change.inputs if not one.remark]
    yield from _section("inputs", (_input(one, change.folder) for one in judged_inputs if not one.is_limit))
    yield from _section("limits", (_input(one, change.folder) for one in judged_inputs if one.is_limit))
    if remarks := note_count(change.inputs):
        yield f"  {remarks}"
    yield from _section("verdicts", _verdict_changes(change))
    yield from _section("quantities changed by more than their uncertainty", quantity_lines(change.quantity_changes))
    yield from _section("curves that moved", _moved_curves(change))
    yield from _section("order", _order(change))


def _order(change: BuildChange) -> Iterator[str]:
    """The order before and after; none of it while the build blocks, as nothing may be ordered then."""
    if any(checked is not None and checked.exit_code for checked in (change.before, change.after)):
        yield from filter(None, [order_change(change)])
        return
    yield from (f"- {line}" for line in change.order_before)
    yield from (f"+ {line}" for line in change.order_after)


def _moved_curves(change: BuildChange) -> Iterator[str]:
    """Lift and gap curves, each with its numbers and two rows of digits."""
    found: list[MovedLift | MovedGap] = [
        *moved_lifts(change.before, change.after),
        *moved_gaps(change.before, change.after),
    ]
    for moved in found:
        yield f"{moved.text}:"
        yield from (f"  {line}" for line in moved.drawing().split("\n"))


def _verdict_changes(change: BuildChange) -> Iterator[str]:
    yield from (_verdict_change(flip, change.folder) for flip in change.verdict_changes if not flip.is_neutral)
    yield from neutral_text(change.verdict_changes)


def _section(title: str, lines: Iterable[str]) -> Iterator[str]:
    found = list(lines)
    if found:
        yield f"  {title}"
        yield from (f"    {line}" for line in found)


def _verdict_change(flip: VerdictChange, folder: str) -> str:
    mark = "blocks now" if flip.newly_blocks else "worse" if flip.is_worse else "better"
    return f"{_place(flip.place, folder)}: {mark}: {verdict_line(flip)}: {flip.message} [{flip.rule}]"


def _input(one: InputChange, folder: str) -> str:
    return f"{_place(one.place, folder)}: {input_text(one)}"


def _place(place: Place, folder: str) -> str:
    return at_line_start(str(place.rebased_on(folder)))
