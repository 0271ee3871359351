"""A new reading as the data that marks.yaml or clearances.yaml takes in, and the position where it belongs."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from decimal import Decimal
from typing import Any

from buildcheck.core.plural import counted
from buildcheck.core.subject import Subject
from buildcheck.record import Record
from buildcheck.yamlio.documents import plain, read
from buildcheck.yamlio.insertion import UnsupportedLayoutError, add_key, append_item, replace_value

MARKS, CLEARANCES, MOTION = "marks.yaml", "clearances.yaml", "motion.yaml"

Edit = Callable[[str], str]
"""The text of a file -> the text with the reading in it. Raises UnsupportedLayoutError if it has no position for it."""


class NewTrial(Record):
    """One trial of a valve: each value as marks.yaml takes it, lengths with their units; ``crank`` of its valve."""

    subject: Subject
    values: dict[str, Any]
    crank: str = ""

    def edit(self, text: str) -> str:
        """Add the trial behind the valve's last one, or a new entry for the valve."""
        data, values = _data(text, MARKS), dict(self.values)
        index, entry = _entry(data, self.subject)
        if (state := _state(data)) and entry.get("state", "") != state:
            values["state"] = state
        if index is not None:
            return append_item(text, ("valves", index, "trials"), values).apply(text)
        entry = {"cylinder": self.subject.cylinder, "valve": self.subject.valve}
        entry |= {"crank": self.crank} if self.crank else {}
        entry |= {"trials": [values]}
        if "valves" in data:
            return append_item(text, ("valves",), entry).apply(text)
        return add_key(text, (), "valves", [entry]).apply(text)


class VoidTrial(Record):
    """A trial that does not count, by its number from 1, and why."""

    subject: Subject
    number: int
    reason: str

    def edit(self, text: str) -> str:
        """Add the reason to the trial. Raises UnsupportedLayoutError if it is missing or void already."""
        index, entry = _entry(_data(text, MARKS), self.subject)
        trials = entry.get("trials", [])
        if not 1 <= self.number <= len(trials):
            count = counted(len(trials), "trial")
            raise UnsupportedLayoutError(f"{self.subject.text} has {count}, so there is no trial {self.number}")
        if known := trials[self.number - 1].get("void"):
            raise UnsupportedLayoutError(f"trial {self.number} of {self.subject.text} is void already: {known}")
        path = ("valves", index or 0, "trials", self.number - 1)
        return add_key(text, path, "void", self.reason).apply(text)


class NewClearance(Record):
    """A clearance of one valve, or of its type where ``subject`` has no cylinder; ``name`` as in clearances.yaml.

    ``state``: the state of the engine that the reading must name; empty if there is only one.
    """

    subject: Subject
    name: str
    length: str
    state: str = ""

    def edit(self, text: str) -> str:
        """Add the clearance where it belongs, or write it in place of the earlier one of the same state."""
        data = _data(text, CLEARANCES)
        usual = data.get("state", "")
        if self.subject.cylinder is None:
            return self._of_type(text, data, usual)
        each = data.get("each", [])
        same = (n for n, entry in enumerate(each) if _is_of(entry, self.subject))
        in_state = [n for n in same if not self.state or each[n].get("state", usual) == self.state]
        index = next((n for n in in_state if self.name in each[n]), in_state[0] if in_state else None)
        if index is not None:
            return self._put(text, data, ("each", index))
        entry = {"cylinder": self.subject.cylinder, "valve": self.subject.valve}
        entry |= {"state": self.state} if self.state not in ("", usual) else {}
        entry |= {self.name: self._value(data)}
        if "each" in data:
            return append_item(text, ("each",), entry).apply(text)
        return add_key(text, (), "each", [entry]).apply(text)

    def _of_type(self, text: str, data: Any, usual: str) -> str:
        if self.state not in ("", usual) and data:
            raise UnsupportedLayoutError(
                f"{CLEARANCES} holds readings of state {usual!r}: enter each valve, without --type"
            )
        if self.state and not data:
            text = add_key(text, (), "state", self.state).apply(text)
        return self._put(text, data, (self.subject.valve or "",))

    def _value(self, data: Any) -> Any:
        """The length, with the gauge that the value of the valve type names: one value is read like the other."""
        usual = data.get(self.subject.valve, {}).get(self.name)
        if isinstance(usual, dict) and "gauge" in usual:
            return {"value": self.length, "gauge": usual["gauge"]}
        return self.length

    def _put(self, text: str, data: Any, path: tuple[str | int, ...]) -> str:
        found = data
        for step in path:
            if isinstance(found, dict) and step not in found:
                return add_key(text, path[:-1], str(step), {self.name: self.length}).apply(text)
            found = found[step]
        if self.name not in found:
            return add_key(text, path, self.name, self._value(data)).apply(text)
        inner = ("value",) if isinstance(found[self.name], dict) else ()
        return replace_value(text, (*path, self.name, *inner), self.length).apply(text)


def one_edit_each(edits: Mapping[str, Sequence[Edit]]) -> dict[str, Edit]:
    """The edits of each file as one, in their order."""
    return {file: _all_of(each) for file, each in edits.items()}


def _all_of(edits: Sequence[Edit]) -> Edit:
    """Several edits of one file as one, in their order."""

    def edit(text: str) -> str:
        for each in edits:
            text = each(text)
        return text

    return edit


def trial_values(
    length: str = "",
    turns: Decimal | None = None,
    mark: tuple[str, str] | None = None,
    lines: tuple[str, str] | None = None,
    known: Mapping[str, str] | None = None,
    bolt_turns: Decimal | None = None,
    cap: tuple[str, str] | None = None,
    **more: str,
) -> dict[str, Any]:
    """The values of a trial in the order in which they are usually written; empty ones are left out.

    ``known``: the known pushrod in place of the checking pushrod, as marks.yaml takes it.
    """
    values: dict[str, Any] = {"length": length} if length else {}
    values |= {"turns": _number(turns)} if turns is not None else {}
    values |= {"known_pushrod": dict(known)} if known else {}
    values |= {key: more.pop(key) for key in ("feel", "feeler", "plunger") if more.get(key)}
    values |= {"bolt_turns": _number(bolt_turns)} if bolt_turns is not None else {}
    values |= {"mark": {"from": mark[0], "to": mark[1]}} if mark else {}
    values |= {"shut_at": lines[0], "open_at": lines[1]} if lines else {}
    values |= {key: text for key, text in more.items() if text}
    return values | ({"lash_cap": {"thickness": cap[0], "diameter": cap[1]}} if cap else {})


def _number(turns: Decimal) -> Decimal | int:
    return turns if turns % 1 else int(turns)


def number_of_trials(text: str, subject: Subject) -> int:
    """How many trials of a valve a text of marks.yaml has, void ones included."""
    return len(_entry(_data(text, MARKS), subject)[1].get("trials", []))


def _data(text: str, file: str) -> Any:
    root = read(text.encode(), file).root
    return plain(root) if root is not None else {}


def _entry(data: Any, subject: Subject) -> tuple[int | None, dict[str, Any]]:
    found = ((n, entry) for n, entry in enumerate(data.get("valves", [])) if _is_of(entry, subject))
    return next(found, (None, {}))


def _is_of(entry: dict[str, Any], subject: Subject) -> bool:
    return (entry.get("cylinder"), entry.get("valve")) == (subject.cylinder, subject.valve)


def _state(data: Any) -> str:
    """The state that a new reading must name: the last one, if there are several."""
    states = data.get("states", [])
    return str(states[-1]["name"]) if len(states) > 1 else ""
