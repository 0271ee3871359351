"""The table at the head of a comment: one row for each build, builds with the same row together."""

from __future__ import annotations

from collections.abc import Iterator

from buildcheck.output.compare.compare_wording import (
    blocking_names,
    blocking_rules,
    heading,
    order_change,
    relaxed_terms,
)
from buildcheck.output.compare.comparison import BuildChange, Comparison
from buildcheck.output.compare.fitted_text import Item, Section
from buildcheck.output.markdown import md

_HEAD = "| Build | Verdict | Blocks | Order | Loosened or conceded |\n|---|---|---|---|---|"
_NAMED = 3
Cells = tuple[str, str, str, str]


def verdict_table(comparison: Comparison) -> Iterator[Section]:
    """Builds that block first. A row that blocks is shortened, never left out; the others are left out and counted."""
    groups: dict[Cells, list[BuildChange]] = {}
    for change in comparison.changes:
        groups.setdefault(_cells(change), []).append(change)
    rows = sorted(groups.items(), key=lambda row: (not _blocks(row[1][0]), not row[0][3], row[1][0].folder))
    blocking = tuple(_row(cells, alike, True) for cells, alike in rows if _blocks(alike[0]))
    others = tuple(_row(cells, alike, False) for cells, alike in rows if not _blocks(alike[0]))
    if blocking:
        yield Section(1, "build", f"\n{_HEAD}", blocking)
    if others:
        yield Section(3, "table row", "" if blocking else f"\n{_HEAD}", others)


def _blocks(change: BuildChange) -> bool:
    return change.after is not None and change.after.exit_code != 0


def _cells(change: BuildChange) -> Cells:
    return heading(change), "; ".join(blocking_rules(change)), order_change(change), "; ".join(relaxed_terms(change))


def _row(cells: Cells, changes: list[BuildChange], all_named: bool) -> Item:
    verdict, blocks, order, relaxed = map(md, cells)
    bold = f"**{verdict}**" if blocks else verdict
    names = _names(changes, all_named)
    rules = md(", ".join(blocking_names(changes[0])))
    full = _line(names, bold, blocks, order, relaxed)
    middle = _line(names, bold, blocks, order and "changes", relaxed and "yes")
    short = _line(_names(changes, all_named, False), bold, rules, order and "changes", relaxed and "yes")
    return (full, middle, short) if all_named else (full, middle, "")


def _names(changes: list[BuildChange], all_named: bool, titled: bool = True) -> str:
    """Folder and name of a build; of several the folders, those that do not block by the first few."""
    if len(changes) == 1:
        return md(f"{changes[0].folder}: {changes[0].name}" if titled else changes[0].folder)
    folders = [md(change.folder) for change in changes]
    named = folders if all_named else folders[:_NAMED]
    more = f" and {len(folders) - len(named)} more" if len(folders) > len(named) else ""
    return f"{len(folders)} builds: {', '.join(named)}{more}"


def _line(*cells: str) -> str:
    return f"| {' | '.join(cell or '–' for cell in cells)} |"
