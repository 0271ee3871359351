"""What is wrong between the readings and the states, checkers and gauges that they name: each at its own place."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from buildcheck.build.facts import Facts
from buildcheck.build.part_changes import part_changes
from buildcheck.build.states import State, states
from buildcheck.core.problem import Problem
from buildcheck.core.subject import VALVE_TYPES
from buildcheck.schema.fields import field_kind
from buildcheck.units.quantity import QuantityError, parse, parse_thread, quoted
from buildcheck.yamlio.documents import Node

ADD_STATE = (
    "if the part was changed, add a state with the new value below it; if it was entered wrongly, correct it in both "
    "places"
)


def reading_problems(facts: Facts) -> list[Problem]:
    """Unknown names, dates that do not exist, values that cannot be read, and parts unlike the last state."""
    found = [*_names(facts), *_cylinders(facts), *_dates(facts), *_checkers(facts), *_values(facts)]
    return sorted(set(found or _unlike(facts)))


def _readings(facts: Facts) -> Iterator[tuple[str, Node, Node | None]]:
    """Path, node and the node around it, of everything that may name a state."""
    valves, clearances = facts.node("marks.valves"), facts.node("clearances")
    for index, entry in enumerate(valves.items if valves is not None else ()):
        for number, trial in enumerate(_trials(entry)):
            yield f"valves[{index}].trials[{number}]", trial, entry
    yield from ((f"valves[{index}]", entry, None) for index, entry in enumerate(_moving(facts)))
    if clearances is not None:
        each = clearances.get("each")
        for number, entry in enumerate(each.items if each is not None else ()):
            yield f"each[{number}]", entry, clearances
        if any(clearances.get(valve) is not None for valve in VALVE_TYPES):
            yield "", clearances, None


def _moving(facts: Facts) -> list[Node]:
    """The valves of motion.yaml."""
    valves = facts.node("motion.valves")
    return valves.items if valves is not None else []


def _cylinders(facts: Facts) -> Iterator[Problem]:
    """Readings of motion at a cylinder that the engine lacks: they would count for no valve."""
    for index, entry in enumerate(_moving(facts)):
        number = entry.entries["cylinder"]
        if facts.cylinders and int(str(number.value)) > facts.cylinders:
            text = f"this engine has {facts.cylinders} cylinders, so there is no cylinder {number.value}"
            yield Problem(number.place, f"valves[{index}].cylinder", text)


def _trials(entry: Node) -> list[Node]:
    node = entry.get("trials")
    return node.items if node is not None else []


def _names(facts: Facts) -> Iterator[Problem]:
    known = [state.name for state in states(facts)]
    for state in states(facts):
        if known.index(state.name) < state.index:
            place = state.node.entries["name"].place
            yield Problem(place, f"states[{state.index}].name", f"two states have the name {quoted(state.name)}")
    for path, node, around in _readings(facts):
        named = node.get("state") or (around.get("state") if around is not None else None)
        if named is not None and str(named.value) not in known:
            yield Problem(named.place, f"{path}.state".lstrip("."), _unknown(str(named.value), known))
        elif named is None and len(known) > 1 and not node.word("void"):
            names = ", ".join(quoted(name) for name in known)
            yield Problem(node.place, path, f"enter the state that the engine was in: one of {names}")


def _unknown(name: str, known: list[str]) -> str:
    listed = ", ".join(quoted(each) for each in known)
    return f"unknown state {quoted(name)}; " + (f"known: {listed}" if known else "enter it under states in marks.yaml")


def _dates(facts: Facts) -> Iterator[Problem]:
    for path, node, _ in _readings(facts):
        day = node.get("on")
        if day is None:
            continue
        try:
            date.fromisoformat(str(day.value))
        except ValueError:
            yield Problem(day.place, f"{path}.on", f"there is no date {quoted(str(day.value))}: enter year-month-day")


def _checkers(facts: Facts) -> Iterator[Problem]:
    several, single = facts.node("pushrods.checkers"), facts.node("pushrods.checker")
    if several is not None and single is not None:
        yield Problem(
            single.place, "checker", "checker and checkers are both entered: keep checkers, and name each one"
        )
    gauges = facts.node("marks.length_gauges")
    for path, node, _ in _readings(facts):
        if node.get("turns") is not None and several is not None and node.get("checker") is None:
            names = ", ".join(several.entries)
            yield Problem(node.entries["turns"].place, f"{path}.turns", f"enter the checker too: one of {names}")
        for key, known in (("checker", several), ("length_gauge", gauges)):
            name = node.get(key)
            if name is not None and str(name.value) not in (known.entries if known is not None else {}):
                listed = ", ".join(known.entries) if known is not None else "none"
                yield Problem(name.place, f"{path}.{key}", f"unknown {key} {quoted(str(name.value))}; known: {listed}")


def _values(facts: Facts) -> Iterator[Problem]:
    for state in states(facts):
        for path, node, name in _parts(state):
            kind = _kind(name)
            try:
                if kind == "thread":
                    parse_thread(str(node.value))
                elif kind == "ratio":
                    if isinstance(node.value, str):
                        yield Problem(
                            node.place, path, f"found {quoted(node.value)}; enter a plain number, such as 1.6"
                        )
                elif kind != "text":
                    parse(str(node.value), kind)
            except QuantityError as error:
                yield Problem(node.place, path, str(error))


def _parts(state: State) -> Iterator[tuple[str, Node, str]]:
    parts = state.node.entries["parts"]
    each = parts.get("each")
    at = f"states[{state.index}].parts"
    for name, node in parts.entries.items():
        if name != "each":
            yield f"{at}.{name}", node, name
    for index, entry in enumerate(each.items if each is not None else ()):
        for name, node in entry.entries.items():
            if name not in ("cylinder", "valve"):
                yield f"{at}.each[{index}].{name}", node, name


def _kind(name: str) -> str:
    return field_kind("heads.each.stem_height" if name == "heads.stem_height" else name)


def _unlike(facts: Facts) -> Iterator[Problem]:
    """Parts files that differ from the last state, which is the engine as it is now."""
    for one in part_changes(facts):
        what = f"{one.title} is {one.now_shown} in its own file and {one.then_shown} in state {quoted(one.state.name)}"
        yield Problem(one.place, f"states[{one.state.index}].parts", f"{what}: {ADD_STATE}")
