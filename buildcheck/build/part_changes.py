"""Parts files that differ from the last state in marks.yaml, and the two ways to enter what happened."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from buildcheck.build.facts import Facts
from buildcheck.build.states import (
    BY_VALUE,
    CAP_DIAMETER,
    LISTED,
    STEM,
    VOIDING,
    State,
    differs,
    now,
    states,
    title,
    was,
)
from buildcheck.core.problem import Place
from buildcheck.core.subject import BUILD, VALVE_TYPES, Subject
from buildcheck.record import Record
from buildcheck.yamlio.documents import plain, read
from buildcheck.yamlio.insertion import UnsupportedLayoutError, add_key, append_item, replace_value


class PartChange(Record):
    """A part with another value in its own file (``now``, as written) than in the last state (``then``).

    ``path`` as in the state, such as ``cam.intake.lobe_lift``; ``then_shown`` and ``now_shown`` for people.
    """

    path: str
    title: str
    state: State
    place: Place
    then_shown: str
    now_shown: str
    now: Any


def part_changes(facts: Facts) -> Iterator[PartChange]:
    """Every part that differs from the last state, once for each place in the state; none without states."""
    if not states(facts):
        return
    last = states(facts)[-1]
    seen: set[tuple[Place, Place]] = set()
    for path in (*VOIDING, *BY_VALUE, CAP_DIAMETER):
        for subject in _subjects(facts, path):
            then, today = was(facts, last, path, subject), now(facts, path, subject)
            if then is None or today is None or (then.place, today.place) in seen:
                continue
            seen.add((then.place, today.place))
            if words := differs(facts, path, then, today):
                valve_path = path.replace("{valve}", subject.valve or "")
                yield PartChange(valve_path, title(path), last, then.place, *words, plain(today))


def _subjects(facts: Facts, path: str) -> tuple[Subject, ...]:
    if "{valve}" in path or path in ("rockers.ratio", STEM) or facts.has_overrides:
        return facts.subjects("valve")
    return (BUILD,)


def parts_today(facts: Facts, like: State | None) -> dict[str, Any]:
    """The values of today for a new state: of the parts that a state has, or of all that readings depend on."""
    if like is None:
        return {path: value for path, value in _all_parts(facts) if not isinstance(value, dict | list)}
    parts = plain(like.node.entries["parts"])
    each = [_entry_today(facts, entry) for entry in parts.pop("each", [])]
    found = {key: _value(facts, key, BUILD, value) for key, value in parts.items()}
    return found | ({"each": each} if each else {})


def _all_parts(facts: Facts) -> Iterator[tuple[str, Any]]:
    for path in LISTED:
        for valve in VALVE_TYPES if "{valve}" in path else ("",):
            node = now(facts, path, Subject(None, valve or None))
            if node is not None:
                yield path.replace("{valve}", valve), plain(node)


def _entry_today(facts: Facts, entry: dict[str, Any]) -> dict[str, Any]:
    subject, names = Subject(entry["cylinder"], entry.get("valve")), ("cylinder", "valve")
    return {key: value if key in names else _value(facts, key, subject, value) for key, value in entry.items()}


def _value(facts: Facts, key: str, subject: Subject, otherwise: Any) -> Any:
    """A part's value of today by its path in a state; what the state has if its own file leaves it out."""
    valve = next((name for name in VALVE_TYPES if f".{name}." in f".{key}."), subject.valve)
    path = key.removesuffix(f".{valve}") if key.startswith("rockers.ratio.") else key
    found = now(facts, path, subject._replace(valve=valve))
    return plain(found) if found is not None and not found.entries else otherwise


class NewState(Record):
    """The engine from now on: ``parts`` by path. Earlier readings belong to the state before it."""

    name: str
    parts: dict[str, Any]

    def edit(self, text: str) -> str:
        """Add the state to marks.yaml; if there was one only, its readings get its name."""
        data = _data(text)
        known = [str(state["name"]) for state in data.get("states", [])]
        if self.name in known:
            raise UnsupportedLayoutError(f"there is a state {self.name!r} already")
        state = {"name": self.name, "parts": self.parts}
        if not known:
            return add_key(text, (), "states", [state]).apply(text)
        text = append_item(text, ("states",), state).apply(text)
        return name_state_of_valves(text, known[0]) if len(known) == 1 else text


def name_state_of_valves(text: str, state: str) -> str:
    """Add the name of a state to each entry under ``valves`` that names none, in marks.yaml or motion.yaml."""
    for index, entry in enumerate(_data(text).get("valves", [])):
        if "state" not in entry:
            text = add_key(text, ("valves", index), "state", state).apply(text)
    return text


def name_state_of_clearances(text: str, state: str) -> str:
    """Add the name of a state to clearances.yaml, if its readings name none."""
    data = _data(text)
    measured = any(key in data for key in (*VALVE_TYPES, "each"))
    return add_key(text, (), "state", state).apply(text) if measured and "state" not in data else text


class Correction(Record):
    """A part of the last state that was measured again: its value is corrected in the state."""

    path: str
    value: Any

    def edit(self, text: str) -> str:
        """Write the value in place of the one in the last state. UnsupportedLayoutError if the state lacks it."""
        state = len(_data(text)["states"]) - 1
        parts = _data(text)["states"][state]["parts"]
        if self.path not in parts:
            raise UnsupportedLayoutError(f"{self.path} is under 'each' in the last state: correct it there by hand")
        return replace_value(text, ("states", state, "parts", self.path), self.value).apply(text)


def _data(text: str) -> Any:
    root = read(text.encode(), "marks.yaml").root
    return plain(root) if root is not None else {}
