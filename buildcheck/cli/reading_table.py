"""Reads trials and readings of motion from a table: each cell that cannot be used is reported with row and column."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from pathlib import Path

from buildcheck.build.facts import Facts
from buildcheck.cli.reading_names import COLUMNS
from buildcheck.cli.table_row import BadCell, Defaults, Entry, Row
from buildcheck.core.files import read_regular, real

MOST_BYTES = 1_000_000


def table_text(path: Path) -> str:
    """The text of a table. Raises OSError or ValueError, which says what is wrong with the file."""
    data = read_regular(real(path), MOST_BYTES + 1)
    if len(data) > MOST_BYTES:
        raise ValueError(f"larger than {MOST_BYTES // 1000} kB: split it")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise ValueError("not UTF-8 text: save it as CSV in UTF-8") from error


def read_table(text: str, facts: Facts, defaults: Defaults) -> tuple[list[tuple[int, Entry]], list[BadCell]]:
    """The readings of a table with their rows, and every cell that cannot be used."""
    head, *rows = list(csv.reader(io.StringIO(text, newline=""), delimiter=_delimiter(text))) or [[]]
    names = [name.strip().lower() for name in head]
    if bad := list(_bad_head(names)):
        return [], bad
    found: list[tuple[int, Entry]] = []
    for number, cells in enumerate(rows, 2):
        row = {name: cell.strip() for name, cell in zip(names, cells, strict=False) if cell.strip()}
        if len(cells) > len(names) and any(cell.strip() for cell in cells[len(names) :]):
            bad.append(BadCell(number, "", f"has {len(cells)} cells, and the first row has {len(names)}"))
        elif row:
            entry, wrong = Row(number, row, facts, defaults).read()
            bad += wrong
            found += [(number, entry)] if entry is not None else []
    if not found and not bad:
        bad.append(BadCell(2, "", "there is no reading below the first row"))
    return found, bad


def _delimiter(text: str) -> str:
    first = text.partition("\n")[0]
    return max(",;\t", key=first.count)


def _bad_head(names: list[str]) -> Iterator[BadCell]:
    for place, name in enumerate(names, 1):
        if name and name not in COLUMNS:
            yield BadCell(1, str(place), f"unknown name {name!r}; known: {', '.join(COLUMNS)}")
        if name and name in names[: place - 1]:
            yield BadCell(1, str(place), f"{name} is there twice: keep one column")
    for name in ("cylinder", "valve"):
        if name not in names:
            yield BadCell(1, "", f"there is no column {name}: the first row names the columns")
