"""A new reading of lift or drop as the data that motion.yaml takes in, and its position in running order."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from buildcheck.build.new_reading import MOTION
from buildcheck.core.subject import Subject
from buildcheck.formulas.cam import CYCLE
from buildcheck.record import Record
from buildcheck.units.quantity import in_si, parse
from buildcheck.yamlio.documents import plain, read
from buildcheck.yamlio.insertion import UnsupportedLayoutError, add_key, append_item, insert_item


class NewMotion(Record):
    """Lift, drop or both at one crank angle: each value as motion.yaml takes it, with its unit.

    ``at``: where the dial indicator was, ``valve`` or ``lifter``; ``lash`` while reading; ``state`` of the engine, if
    it has several.
    """

    subject: Subject
    at: str
    values: dict[str, str]
    lash: str = ""
    state: str = ""

    def edit(self, text: str) -> str:
        """Add the reading in running order, its drop to the lift at the same crank angle, or a new entry."""
        root = read(text.encode(), MOTION).root
        data = plain(root) if root is not None else {}
        valves = data.get("valves", [])
        index = next((n for n, entry in enumerate(valves) if self._fits(entry)), None)
        if index is None:
            return self._with_entry(text, data)
        self._refuse_another_lash(valves[index])
        return _inserted(text, ("valves", index, "readings"), valves[index]["readings"], self.values)

    def _fits(self, entry: dict[str, Any]) -> bool:
        place = (self.subject.cylinder, self.subject.valve, self.at)
        same_state = not self.state or entry.get("state", self.state) == self.state
        return (entry["cylinder"], entry["valve"], entry["at"]) == place and same_state

    def _with_entry(self, text: str, data: dict[str, Any]) -> str:
        entry: dict[str, Any] = {"cylinder": self.subject.cylinder, "valve": self.subject.valve, "at": self.at}
        entry |= {"lash": self.lash} if self.lash else {}
        entry |= {"state": self.state} if self.state else {}
        entry |= {"readings": [self.values]}
        if "valves" in data:
            return append_item(text, ("valves",), entry).apply(text)
        return add_key(text, (), "valves", [entry]).apply(text)

    def _refuse_another_lash(self, entry: dict[str, Any]) -> None:
        """Lash belongs to all readings of an entry: a curve is read with one lash."""
        known = entry.get("lash", "0 in")
        if self.lash and parse(self.lash, "length").si != parse(known, "length").si:
            raise UnsupportedLayoutError(
                f"the earlier readings of {self.subject.text} were taken with a lash of {known}: read all with one lash"
            )


def number_of_readings(text: str, reading: NewMotion) -> int:
    """How many crank angles a text of motion.yaml has for the valve, indicator and state of a reading."""
    root = read(text.encode(), MOTION).root
    valves = plain(root).get("valves", []) if root is not None else []
    return next((len(entry["readings"]) for entry in valves if reading._fits(entry)), 0)


def _inserted(text: str, path: tuple[str | int, ...], readings: Sequence[dict[str, Any]], new: dict[str, str]) -> str:
    cranks = [_degrees(one["crank"]) for one in readings]
    crank = _degrees(new["crank"])
    if crank in cranks:
        return _completed(text, (*path, cranks.index(crank)), readings[cranks.index(crank)], new)
    return insert_item(text, path, _position(cranks, crank), new).apply(text)


def _completed(text: str, path: tuple[str | int, ...], reading: dict[str, Any], new: dict[str, str]) -> str:
    for key, value in new.items():
        if key == "crank":
            continue
        if key in reading:
            raise UnsupportedLayoutError(
                f"{MOTION} has a {key} at crank {reading['crank']} already, {reading[key]}: if that one is wrong, "
                "correct it in the file"
            )
        text = add_key(text, path, key, value).apply(text)
    return text


def _position(cranks: Sequence[float], crank: float) -> int:
    """Where a crank angle belongs among others in running order; beyond both ends, at the nearer one.

    >>> _position([700, 710, 0, 10], 715), _position([700, 710, 0, 10], 20), _position([700, 710], 690)
    (2, 4, 0)
    """
    turned = [(each - cranks[0]) % CYCLE for each in cranks]
    new = (crank - cranks[0]) % CYCLE
    index = next((n for n, each in enumerate(turned) if each > new), len(turned))
    before_the_first = index == len(turned) and CYCLE - new < new - turned[-1]
    return 0 if before_the_first else index


def _degrees(text: str) -> float:
    return in_si(text, "angle")[0]
