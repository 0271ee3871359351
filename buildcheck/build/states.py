"""The engine at the times of reading: the states in marks.yaml, and what has changed since each of them."""

from __future__ import annotations

from collections.abc import Container, Iterator, Sequence

from buildcheck.build.changes import Change, written_changes
from buildcheck.build.facts import Facts
from buildcheck.core.subject import Subject
from buildcheck.core.value import Undecided, Value, difference, exact
from buildcheck.record import Record
from buildcheck.schema.fields import field_kind, field_schema
from buildcheck.units.quantity import parse_thread, show
from buildcheck.yamlio.documents import Node

VOIDING = (
    "rockers.mount", "rockers.adjuster", "rockers.adjuster_thread", "rockers.valve_arm", "rockers.tip.type",
    "rockers.tip.radius", "rockers.ratio", "rockers.stud_lean", "cam.lifter.type",
)  # fmt: skip
"""A change of one of these makes every earlier reading void: where the new rocker holds the pushrod is not known."""

PARTS = ("head", "block", "lifters", "cam", "guide")
"""What a state can list as replaced."""

CAP = "heads.valves.{valve}.lash_cap.thickness"
CAP_DIAMETER = "heads.valves.{valve}.lash_cap.diameter"
SHIM = "rockers.shim"
STEM = "heads.stem_height"

BY_VALUE = {
    SHIM: "pedestal_raised",
    "heads.gasket.thickness": "gasket_thickness",
    CAP: "tip_higher",
    STEM: "tip_higher",
    "cam.{valve}.lobe_lift": "lobe_lift",
    "cam.base_circle_diameter": "base_circle_diameter",
}
"""A change of one of these carries earlier readings over: by the name of the change."""

LISTED = (*VOIDING, *BY_VALUE, CAP_DIAMETER)
MOTION = ("cam.advance", "cam.{valve}.lash", "rockers.ratio")
"""Fields that carry readings of motion over; a state that is supposed holds them, one in marks.yaml need not."""

NONE_FITTED = {SHIM: "length", CAP: "length", "rockers.stud_lean": "angle", "cam.advance": "angle"}
"""Fields that mean zero if they are left out of their own file."""

NOISE = 1e-9


class State(Record):
    """One entry of ``states``; ``index`` counts from the oldest."""

    name: str
    index: int
    node: Node


def states(facts: Facts) -> tuple[State, ...]:
    """The states in marks.yaml, oldest first; none if the file has none."""
    return facts.once("states", _states, facts)


def _states(facts: Facts) -> tuple[State, ...]:
    node = facts.node("marks.states")
    entries = node.items if node is not None else ()
    return tuple(State(entry.word("name"), index, entry) for index, entry in enumerate(entries))


def state_of(facts: Facts, *nearest: Node | None) -> State | None:
    """The state that a reading names, the nearest node first; the only one if there is one; None without states."""
    known = states(facts)
    if not known:
        return None
    named = next((node.word("state") for node in nearest if node is not None and node.word("state")), "")
    if named:
        return next((state for state in known if state.name == named), None)
    return known[-1]


def is_earlier(facts: Facts, state: State | None) -> bool:
    """Whether a reading belongs to an engine before today's."""
    return state is not None and state is not states(facts)[-1]


def was(facts: Facts, state: State, path: str, subject: Subject) -> Node | None:
    """A part's value in a state, an ``each`` entry for the subject first; None if the state lacks it."""
    parts, key = state.node.get("parts"), _valve_path(path, subject)
    if parts is None:
        return None
    each = parts.get("each")
    for entry in each.items if each is not None else ():
        fits = entry.word("cylinder") == str(subject.cylinder) and entry.word("valve") in ("", subject.valve)
        if fits and (node := entry.get(key)) is not None:
            return node
    return parts.get(key) or parts.get(f"{key}.{subject.valve}")


def now(facts: Facts, path: str, subject: Subject) -> Node | None:
    """The same part's value today, from the build's own files."""
    return facts.node("heads.each.stem_height" if path == STEM else path, subject)


def void_since(
    facts: Facts,
    subject: Subject,
    state: State | None,
    voiding: Sequence[str] = VOIDING,
    parts: Container[str] = PARTS,
) -> Undecided | None:
    """Why a reading taken in a state is void today: one of ``parts`` or a field of ``voiding`` changed; None if not."""
    if state is None or not is_earlier(facts, state):
        return None
    for later in states(facts)[state.index + 1 :]:
        for part in (one for one in _replaced(later) if one.value in parts):
            return Undecided(f"taken before '{later.name}', with another {part.value}", (part.place, state.node.place))
    for path in voiding:
        then, today = was(facts, state, path, subject), now(facts, path, subject)
        if then is not None and today is not None and (words := differs(facts, path, then, today)):
            return Undecided(f"taken with a {title(path)} of {words[0]}, now {words[1]}", (then.place, today.place))
    return None


def changes_since(facts: Facts, subject: Subject, state: State | None, another_head: bool = False) -> list[Change]:
    """What was changed since a state that carries readings over, in a fixed order; none in the last state.

    ``another_head``: its height counts too; it makes readings void, but the length to expect follows it.
    """
    if state is None or not is_earlier(facts, state):
        return []
    by_value = list(_by_value(facts, subject, state))
    known = {change.name for change in by_value} | _known_by_value(facts, subject, state)
    return [*by_value, *_by_work(facts, state, known if another_head else known | {"head_height"})]


def tip_was(facts: Facts, subject: Subject, state: State | None) -> Value | None:
    """Diameter that the rocker could touch in a state, m; None if it was as today or is not known."""
    if state is None or not is_earlier(facts, state):
        return None
    cap, thick = was(facts, state, CAP_DIAMETER, subject), was(facts, state, CAP, subject)
    if cap is not None:
        return facts.reading(cap, "length")
    if thick is not None and facts.reading(thick, "length").si == 0:
        return facts.optional("heads.valves.{valve}.tip_diameter", subject)
    return None


def differs(facts: Facts, path: str, then: Node, today: Node) -> tuple[str, str] | None:
    """Both values in words if they are two parts; None if they are one, measured again within its uncertainty."""
    if then.value == today.value and then.text == today.text:
        return None
    kind = field_kind(_field(path))
    if kind == "thread":
        same = parse_thread(str(then.value)) == parse_thread(str(today.value))
    elif kind == "text":
        same = str(then.value) == str(today.value)
    else:
        step = difference(facts.reading(today, kind), facts.reading(then, kind))
        same = abs(step.si) <= max(step.expanded, NOISE)
        return None if same else (_shown(facts, then, kind), _shown(facts, today, kind))
    return None if same else (str(then.value), str(today.value))


def measured_again(facts: Facts, path: str, then: Node, today: Node) -> tuple[str, str] | None:
    """Both values in words if they are one part with two readings of its size; None if they are equal or two parts."""
    kind = field_kind(_field(path))
    if kind in ("thread", "text") or differs(facts, path, then, today):
        return None
    step = difference(facts.reading(today, kind), facts.reading(then, kind))
    return (_shown(facts, then, kind), _shown(facts, today, kind)) if abs(step.si) > NOISE else None


def title(path: str) -> str:
    """A part's name in trade words."""
    text = str(field_schema(_field(path).replace("{valve}", "intake"))["title"])
    return text[:1].lower() + text[1:]


def _valve_path(path: str, subject: Subject) -> str:
    return path.replace("{valve}", subject.valve or "{valve}")


def _field(path: str) -> str:
    return "heads.each.stem_height" if path == STEM else path


def _shown(facts: Facts, node: Node, kind: str) -> str:
    return show(facts.reading(node, kind).si, kind, facts.system)


def _replaced(state: State) -> list[Node]:
    changes = state.node.get("changes")
    replaced = changes.get("replaced") if changes is not None else None
    another = changes.get("head_height") if changes is not None else None
    head = [another._replace(value="head")] if another is not None else []
    return [*(replaced.items if replaced is not None else ()), *head]


def _known_by_value(facts: Facts, subject: Subject, state: State) -> set[str]:
    """Changes of fields that both the state and today's files give: `changes` does not count them again."""
    given = (path for path in BY_VALUE if path not in (SHIM, CAP, STEM))
    return {
        BY_VALUE[path]
        for path in given
        if was(facts, state, path, subject) is not None and now(facts, path, subject) is not None
    }


def _by_value(facts: Facts, subject: Subject, state: State) -> Iterator[Change]:
    for path, name in BY_VALUE.items():
        then = was(facts, state, path, subject)
        if then is None:
            continue
        today = _today(facts, path, subject)
        if today is None:
            continue
        step = difference(today, facts.reading(then, today.kind))
        if abs(step.si) > max(step.expanded, NOISE):
            yield Change(name, step, path)


def _today(facts: Facts, path: str, subject: Subject) -> Value | None:
    node = now(facts, path, subject)
    if node is not None:
        return facts.reading(node, field_kind(_field(path)))
    return exact(0.0, NONE_FITTED[path]) if path in NONE_FITTED else None


def _by_work(facts: Facts, state: State, known: set[str]) -> Iterator[Change]:
    """What `changes` of the later states say, one entry for each of them."""
    for later in states(facts)[state.index + 1 :]:
        for change in written_changes(facts, later.node.get("changes")):
            if change.name not in known:
                yield change
