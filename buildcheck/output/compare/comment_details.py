"""The folded parts of a comment: inputs, other verdicts, quantities, each line once for all builds that share it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from buildcheck.build.trials import ASSUMED_TO_APPLY
from buildcheck.output.compare.comment_causes import MOST_INPUTS
from buildcheck.output.compare.comment_links import Links
from buildcheck.output.compare.compare_wording import (
    input_text,
    neutral_text,
    note_count,
    quantity_lines,
    verdict_line,
)
from buildcheck.output.compare.comparison import BuildChange
from buildcheck.output.compare.fitted_text import Section
from buildcheck.output.finding_wording import capitalised
from buildcheck.output.markdown import md

_NAMED = 3


def detail_sections(changes: Sequence[BuildChange], links: Links) -> Iterator[Section]:
    """Folded lists; the last of them is shortened first."""
    parts = (
        ("Trials that became void, were rewritten or were removed", "trial", _trials),
        ("Inputs", "input", _inputs),
        ("Other verdicts", "verdict", _verdicts),
        ("Quantities that changed by more than their uncertainty", "quantity line", _quantities),
        ("Readings without states", "line", _without_states),
    )
    for rank, (title, noun, lines) in enumerate(parts):
        found: dict[str, list[str]] = {}
        for change in changes:
            for line in lines(change, links):
                found.setdefault(line, []).append(change.folder)
        items = tuple((f"- {_who(folders)}: {line}", "") for line, folders in found.items())
        opening = f"\n<details><summary>{title} ({len(items)})</summary>\n"
        yield Section(6 + rank, noun, opening, items, "\n</details>")


def _who(folders: list[str]) -> str:
    more = f" and {len(folders) - _NAMED} more" if len(folders) > _NAMED else ""
    return f"{', '.join(map(md, folders[:_NAMED]))}{more}"


def _trials(change: BuildChange, links: Links) -> Iterator[str]:
    for one in change.trial_changes:
        yield f"{links.at(one.place, change.folder)}: {md(one.text)}"


def _inputs(change: BuildChange, links: Links) -> Iterator[str]:
    judged = [one for one in change.inputs if not one.remark]
    for one in judged[MOST_INPUTS:]:
        yield f"{links.at(one.place, change.folder)}: {md(input_text(one))}"
    if remarks := note_count(change.inputs):
        yield remarks


def _verdicts(change: BuildChange, links: Links) -> Iterator[str]:
    for flip in change.verdict_changes:
        if not flip.is_neutral and not flip.newly_blocks:
            yield f"**{links.rule(flip.rule)}**, {md(verdict_line(flip))}. {md(capitalised(flip.finding))}"
    yield from map(md, neutral_text(change.verdict_changes))


def _quantities(change: BuildChange, links: Links) -> Iterator[str]:
    return map(md, quantity_lines(change.quantity_changes))


def _without_states(change: BuildChange, links: Links) -> Iterator[str]:
    if change.assumes_readings_apply and change.inputs:
        yield md(ASSUMED_TO_APPLY)
