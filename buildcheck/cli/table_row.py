"""One row of a table as a trial or as a reading of motion, with every cell of it that cannot be used."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from datetime import date
from typing import Any

from buildcheck.advice.motion_doubts import motion_doubts
from buildcheck.advice.reading_doubts import Doubt, doubts
from buildcheck.build.facts import Facts
from buildcheck.build.motion_readings import motion_entries
from buildcheck.build.new_motion import NewMotion
from buildcheck.build.new_reading import MOTION as MOTION_FILE
from buildcheck.build.new_reading import NewTrial, trial_values
from buildcheck.cli.reading_names import OF_MOTION, OF_TRIAL, TRIAL_COLUMNS, column_of
from buildcheck.core.subject import VALVE_TYPES, Subject
from buildcheck.record import Record
from buildcheck.units.quantity import parse
from buildcheck.units.typed_value import typed_angle, typed_length, typed_number
from buildcheck.yamlio.documents import plain

_LENGTHS = (
    "length", "mark_from", "mark_to", "shut_at", "open_at", "feeler", "shim", "across",
    "known_length", "known_gauge_hole", "cap_thickness", "cap_diameter",
)  # fmt: skip
_WORDS = ("checker", "by", "note")
_MOVED = ("lift", "drop")
_NOTED = ("on", "by")
_CONVENTIONS = ("overall", "full ball", "gauge")
Entry = NewTrial | NewMotion


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
    """What a row gets if its own cell is empty; ``today`` is asked once a row; ``state`` of readings of motion."""

    by: str
    on: str
    today: Callable[[], str]
    state: str = ""


class Row:
    """One row being read."""

    def __init__(self, number: int, cells: Mapping[str, str], facts: Facts, defaults: Defaults) -> None:
        self.number = number
        self.cells = cells
        self.facts = facts
        self.defaults = defaults
        self.bad: list[BadCell] = []

    def read(self) -> tuple[Entry | None, list[BadCell]]:
        """The reading of the row, None with the cells that hinder it."""
        return self._motion() if {*_MOVED} & self.cells.keys() else self._trial()

    def _motion(self) -> tuple[NewMotion | None, list[BadCell]]:
        subject, crank = self._subject(), self._required("crank", typed_angle)
        at = self._cell("at", _one_of("valve", "lifter")) or "valve"
        lengths = {name: self._length(name) for name in (*_MOVED, "lash")}
        for name in (name for name in TRIAL_COLUMNS if name in self.cells):
            cure = "write it into note" if name in _NOTED else "enter lift and drop in a row of their own"
            self._note(name, f"belongs to a trial: {cure}")
        if subject is None or self.bad:
            return None, self.bad
        values = {"crank": crank} | {name: text for name in _MOVED if (text := lengths[name])}
        values |= {"note": self.cells["note"]} if "note" in self.cells else {}
        reading = NewMotion(subject, at, values, lengths["lash"] or "", self.defaults.state)
        self._doubt(motion_doubts(self.facts, reading))
        self._refuse_read(reading)
        return (None if self.bad else reading), self.bad

    def _refuse_read(self, reading: NewMotion) -> None:
        """A row of what motion.yaml has already."""
        crank = parse(reading.values["crank"], "angle").si
        same = [entry for entry in motion_entries(self.facts, reading.subject) if entry.word("at") == reading.at]
        readings = [one for entry in same if not reading.state for one in entry.entries["readings"].items]
        for one in (one for one in readings if parse(one.word("crank"), "angle").si == crank):
            for name in (name for name in _MOVED if name in reading.values and one.get(name) is not None):
                self._note(name, f"{MOTION_FILE} has it at crank {one.word('crank')} already: {one.word(name)}")

    def _doubt(self, found: Iterator[Doubt]) -> None:
        for doubt in found:
            self._note(column_of(doubt.key), doubt.text)

    def _trial(self) -> tuple[NewTrial | None, list[BadCell]]:
        subject, values = self._subject(), self._values()
        crank = self._cell("crank", typed_angle)
        for name in (name for name in OF_MOTION if name in self.cells):
            self._note(name, "belongs to a row with lift or drop")
        if not self.bad and subject is not None:
            self._doubt(doubts(self.facts, subject, values))
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
        lengths = {name: self._length(name) for name in _LENGTHS}
        turns, bolt_turns = self._cell("turns", typed_number), self._cell("bolt_turns", typed_number)
        mark, lines, cap = (self._pair(lengths, *OF_TRIAL[name]) for name in ("mark", "lines", "cap"))
        known = self._known(lengths)
        if not {"length", "turns", *OF_TRIAL["mark"], "known_length"} & self.cells.keys():
            self._note("length", "enter length, turns, a mark, lift or drop")
        elif "length" in self.cells and "turns" in self.cells:
            self._note("turns", "a trial has length or turns, not both")
        texts = {name: lengths[name] or "" for name in ("feeler", "shim", "across")}
        return trial_values(
            lengths["length"] or "", turns, mark, lines, known, bolt_turns, cap, **texts, **self._words()
        )

    def _words(self) -> dict[str, str]:
        words = {"on": self._cell("on", _day) or self.defaults.on or self.defaults.today()}
        words |= {name: self.cells.get(name, "") for name in _WORDS}
        words["by"] = words["by"] or self.defaults.by
        words["feel"] = self._cell("feel", _one_of("slack", "tight")) or ""
        words["plunger"] = self._cell("plunger", _one_of("top", "bottom")) or ""
        return words

    def _known(self, lengths: Mapping[str, str | None]) -> dict[str, str] | None:
        """The known pushrod. What is left out of it is refused."""
        if not {*OF_TRIAL["known"]} & self.cells.keys():
            return None
        known = {
            "length": self._required("known_length", lambda _: lengths["known_length"]),
            "stated_as": self._required("known_stated_as", _one_of(*_CONVENTIONS)),
            "gauge_hole": lengths["known_gauge_hole"],
        }
        return {key: text for key, text in known.items() if text}

    def _length(self, name: str) -> str | None:
        found: str | None = self._cell(name, lambda text: typed_length(text, self.facts.system))
        return found

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
