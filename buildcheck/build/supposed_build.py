"""A build as it would be with one more change: its files as read, with another state after the last one."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from buildcheck.build.facts import Facts
from buildcheck.build.states import LISTED, MOTION, NONE_FITTED, State, now, states, was
from buildcheck.core.problem import Place
from buildcheck.core.subject import BUILD, VALVE_TYPES, Subject
from buildcheck.record import Record, replace
from buildcheck.yamlio.documents import Node

NOW, THEN = "the engine as it is now", "the engine as supposed"


class Supposed(Record):
    """``fields``: new values by their path, each for a valve type or the whole build; ``work``: keys of `changes`."""

    fields: Mapping[tuple[str, Subject], Node]
    work: Mapping[str, Node]


def supposing(facts: Facts, supposed: Supposed, without: Sequence[str] = ()) -> Facts:
    """What would be known of the build: readings taken until now belong to the engine as it is now.

    ``without``: paths left out, such as lengths chosen for the engine as it is now.
    """
    roots = dict(facts.build.roots)
    if "marks" not in roots:
        roots["marks"] = Node(Place("marks.yaml"), {})
    last = states(facts)[-1].name if states(facts) else NOW
    roots["marks"] = _with_states(facts, roots["marks"], supposed, last)
    if "clearances" in roots:
        roots["clearances"] = _named(roots["clearances"], last)
    if "motion" in roots:
        roots["motion"] = _each_named(roots["motion"], last)
    for path in without:
        name, key = path.split(".")
        if name in roots:
            roots[name] = _less(roots[name], key)
    for (path, subject), node in supposed.fields.items():
        name, *keys = path.replace("{valve}", subject.valve or "").split(".")
        roots[name] = _set(_without_each(roots.get(name, node._replace(value={})), keys[-1], subject), keys, node)
    return facts.of(replace(facts.build, roots=roots))


def _with_states(facts: Facts, marks: Node, supposed: Supposed, last: str) -> Node:
    place = marks.place
    known = states(facts) or (State(NOW, 0, Node(place, {"name": Node(place, NOW), "parts": Node(place, {})})),)
    each = [_with_parts(facts, state, supposed) for state in known]
    new = Node(
        place, {"name": Node(place, THEN), "changes": Node(place, dict(supposed.work)), "parts": Node(place, {})}
    )
    marks = _each_named(marks, last)
    return marks._replace(value={**marks.entries, "states": Node(place, [*each, new])})


def _with_parts(facts: Facts, state: State, supposed: Supposed) -> Node:
    """The state with today's value of each part that is supposed to change, if the state does not give it."""
    parts = state.node.entries["parts"]
    parts_then = {
        path.replace("{valve}", subject.valve or ""): node
        for path, listed, subject in _changed_parts(supposed)
        if was(facts, state, listed, subject) is None and (node := _today(facts, listed, subject)) is not None
    }
    return state.node._replace(
        value={**state.node.entries, "parts": parts._replace(value={**parts.entries, **parts_then})}
    )


def _changed_parts(supposed: Supposed) -> Iterator[tuple[str, str, Subject]]:
    """Paths that readings depend on, as supposed and as listed: a ratio may be given for each valve type."""
    for path, subject in supposed.fields:
        listed = path if path in LISTED else path.removesuffix(".{valve}")
        if listed in LISTED or listed in MOTION:
            yield path, listed, subject


def _today(facts: Facts, path: str, subject: Subject) -> Node | None:
    node = now(facts, path, subject)
    if node is None and path in NONE_FITTED:
        return Node(Place(path), "0 deg" if NONE_FITTED[path] == "angle" else "0 in")
    return node


def _each_named(root: Node, state: str) -> Node:
    """The file with each of its valves in a state."""
    valves = root.get("valves")
    read = [_named(entry, state) for entry in valves.items] if valves is not None else []
    return root._replace(value={**root.entries, "valves": (valves or root)._replace(value=read)})


def _named(entry: Node, state: str) -> Node:
    if entry.get("state") is not None:
        return entry
    return entry._replace(value={**entry.entries, "state": Node(entry.place, state)})


def _set(node: Node, keys: Sequence[str], new: Node) -> Node:
    """The mapping with a value at a path; what was given once for both valve types keeps its other type."""
    first, *rest = keys
    inner = node.get(first) or new._replace(value={})
    if rest and not isinstance(inner.value, dict) and rest[0] in VALVE_TYPES:
        inner = inner._replace(value=dict.fromkeys(VALVE_TYPES, inner))
    return node._replace(value={**node.entries, first: _set(inner, rest, new) if rest else new})


def _without_each(root: Node, key: str, subject: Subject) -> Node:
    """The file without single valves that differ in a value that all are supposed to have."""
    each = root.get("each")
    if each is None:
        return root
    left = [_less(entry, key) if _concerns(entry, subject) else entry for entry in each.items]
    return root._replace(value={**root.entries, "each": each._replace(value=left)})


def _less(entry: Node, key: str) -> Node:
    return entry._replace(value={name: node for name, node in entry.entries.items() if name != key})


def _concerns(entry: Node, subject: Subject) -> bool:
    return subject == BUILD or entry.word("valve") in ("", subject.valve)
