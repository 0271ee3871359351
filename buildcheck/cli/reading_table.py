"""Reads trials from a table of a spreadsheet: every cell that cannot be used is reported by its row and column."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterator, Mapping
from datetime import date
from pathlib import Path
from typing import Any

from buildcheck.advice.reading_doubts import doubts
from buildcheck.build.facts import Facts
from buildcheck.build.new_reading import NewTrial, trial_values
from buildcheck.core.files import read_regular, real
from buildcheck.core.subject import VALVE_TYPES, Subject
from buildcheck.record import Record
from buildcheck.units.typed_value import typed_angle, typed_length, typed_number
from buildcheck.yamlio.documents import plain

LENGTHS = ("length", "mark_from", "mark_to", "shut_at", "open_at", "shim")
WORDS = ("checker", "by", "note")
COLUMNS = ("cylinder", "valve", "crank", "length", "turns", "feel", "mark_from", "mark_to", "shut_at", "open_at",
           "shim", "checker", "on", "by", "note")  # fmt: skip
"""Names in the first row; only cylinder and valve must be there, and the order is free."""

MOST_BYTES = 1_000_000
_PAIRS = (("mark_from", "mark_to"), ("shut_at", "open_at"))
_COLUMN_OF = {"from": "mark_from", "to": "mark_to", "mark": "mark_from"}


class BadCell(Record):
    """A cell that cannot be used: its row as the spreadsheet counts, its column's name (empty for the row), why."""

    row: int
    column: str
    reason: str

    @property
    def text(self) -> str:
        """Row, column and reason in words."""
        column = f", column {self.column}" if self.column else ""
        return f"row {self.row}{column}: {self.reason}"


class Defaults(Record):
    """What a row gets if its own cell is empty; ``today`` is asked once a row."""

    by: str
    on: str
    today: Callable[[], str]


def table_text(path: Path) -> str:
    """The text of a table. Raises OSError or ValueError, which says what is wrong with the file."""
    data = read_regular(real(path), MOST_BYTES + 1)
    if len(data) > MOST_BYTES:
        raise ValueError(f"larger than {MOST_BYTES // 1000} kB: split it")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise ValueError("not UTF-8 text: save it as CSV in UTF-8") from error


def read_table(text: str, facts: Facts, defaults: Defaults) -> tuple[list[tuple[int, NewTrial]], list[BadCell]]:
    """The trials of a table with their rows, and every cell that cannot be used."""
    head, *rows = list(csv.reader(io.StringIO(text, newline=""), delimiter=_delimiter(text))) or [[]]
    names = [name.strip().lower() for name in head]
    if bad := list(_bad_head(names)):
        return [], bad
    found: list[tuple[int, NewTrial]] = []
    for number, cells in enumerate(rows, 2):
        row = {name: cell.strip() for name, cell in zip(names, cells, strict=False) if cell.strip()}
        if len(cells) > len(names) and any(cell.strip() for cell in cells[len(names) :]):
            bad.append(BadCell(number, "", f"has {len(cells)} cells, and the first row has {len(names)}"))
        elif row:
            trial, wrong = _Row(number, row, facts, defaults).read()
            bad += wrong
            found += [(number, trial)] if trial is not None else []
    if not found and not bad:
        bad.append(BadCell(2, "", "there is no reading below the first row"))
    return found, bad


def column_of(path: str) -> str:
    """The column of a field in marks.yaml, such as ``valves[0].trials[1].mark.from``; empty if there is none."""
    key = path.rpartition(".")[2]
    name = _COLUMN_OF.get(key, key)
    return name if name in COLUMNS else ""


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


class _Row:
    """One row being read."""

    def __init__(self, number: int, cells: Mapping[str, str], facts: Facts, defaults: Defaults) -> None:
        self.number = number
        self.cells = cells
        self.facts = facts
        self.defaults = defaults
        self.bad: list[BadCell] = []

    def read(self) -> tuple[NewTrial | None, list[BadCell]]:
        """The trial of the row, None with the cells that hinder it."""
        subject, values = self._subject(), self._values()
        crank = self._cell("crank", typed_angle)
        if not self.bad and subject is not None:
            for doubt in doubts(self.facts, subject, values):
                meant = f"; did you mean {doubt.meant}?" if doubt.meant else ""
                self._note(_COLUMN_OF.get(doubt.key, doubt.key), f"{doubt.reason}{meant}")
            self._refuse_repeated(subject, values)
        return (NewTrial(subject, values, crank or "") if subject is not None and not self.bad else None), self.bad

    def _subject(self) -> Subject | None:
        cylinder = self._required("cylinder", int)
        valve = self._required("valve", _one_of(*VALVE_TYPES))
        if cylinder is None or valve is None:
            return None
        subject = Subject(cylinder, valve)
        if self.facts.cylinders and subject not in self.facts.subjects("valve"):
            self._note("cylinder", f"this engine has no {subject.text}")
        return subject

    def _values(self) -> dict[str, Any]:
        system = self.facts.system
        lengths = {name: self._cell(name, lambda text: typed_length(text, system)) for name in LENGTHS}
        turns, feel = self._cell("turns", typed_number), self._cell("feel", _one_of("slack", "tight"))
        day = self._cell("on", _day) or self.defaults.on or self.defaults.today()
        pairs = self._pair(lengths, *_PAIRS[0]), self._pair(lengths, *_PAIRS[1])
        if not {"length", "turns", *_PAIRS[0]} & self.cells.keys():
            self._note("length", "enter length, turns, or a mark")
        elif "length" in self.cells and "turns" in self.cells:
            self._note("turns", "a trial has length or turns, not both")
        words: dict[str, str] = {name: self.cells.get(name, "") for name in WORDS}
        words["by"] = words["by"] or self.defaults.by
        return trial_values(
            lengths["length"] or "",
            turns,
            pairs[0],
            pairs[1],
            feel=feel or "",
            shim=lengths["shim"] or "",
            on=day,
            **words,
        )

    def _pair(self, lengths: Mapping[str, str | None], first: str, second: str) -> tuple[str, str] | None:
        one, other = lengths[first], lengths[second]
        if one and other:
            return one, other
        missing = [name for name in (first, second) if name not in self.cells]
        if len(missing) == 1:
            self._note(missing[0], f"is empty, and {first if missing[0] == second else second} is not")
        return None

    def _refuse_repeated(self, subject: Subject, values: dict[str, Any]) -> None:
        """A row that was entered before: the table was read twice."""
        keys = [key for key in values if key != "on" or "on" in self.cells]
        for trial in _trials(self.facts, subject):
            if all(_same(trial.get(key), values[key]) for key in keys):
                self._note("", f"marks.yaml has this trial of {subject.text} already")
                return

    def _required(self, name: str, read: Callable[[str], Any]) -> Any:
        if name not in self.cells:
            self._note(name, "is empty")
            return None
        return self._cell(name, read)

    def _cell(self, name: str, read: Callable[[str], Any]) -> Any:
        if name not in self.cells:
            return None
        try:
            return read(self.cells[name])
        except ValueError as error:
            reason = f"{self.cells[name]!r} is not a whole number" if read is int else str(error)
            self._note(name, reason)
            return None

    def _note(self, column: str, reason: str) -> None:
        self.bad.append(BadCell(self.number, column, reason))


def _one_of(*words: str) -> Callable[[str], str]:
    def read(text: str) -> str:
        if text.lower() not in words:
            raise ValueError(f"{text!r} is none of {', '.join(words)}")
        return text.lower()

    return read


def _day(text: str) -> str:
    try:
        return date.fromisoformat(text).isoformat()
    except ValueError:
        raise ValueError(f"{text!r} is no date: write it like 2026-11-20") from None


def _trials(facts: Facts, subject: Subject) -> Iterator[dict[str, Any]]:
    valves = facts.node("marks.valves")
    for entry in valves.items if valves is not None else ():
        if (entry.word("cylinder"), entry.word("valve")) == (str(subject.cylinder), subject.valve):
            yield from (plain(trial) for trial in entry.entries["trials"].items)


def _same(old: Any, new: Any) -> bool:
    if isinstance(new, dict):
        return isinstance(old, dict) and all(_same(old.get(key), value) for key, value in new.items())
    return old == (new if isinstance(new, str) else float(new)) if old is not None else False
