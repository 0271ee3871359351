"""Whether a clearance read in an earlier state of the engine still applies."""

from __future__ import annotations

from typing import NamedTuple

from buildcheck.build.facts import Facts
from buildcheck.build.states import VOIDING, State, changes_since, is_earlier, state_of, void_since
from buildcheck.core.subject import Subject
from buildcheck.core.value import Undecided
from buildcheck.yamlio.documents import Node

WITH_HEAD = ("head", "guide")
MEASURED = (
    "retainer_to_seal", "rocker_to_retainer", "rocker_to_stud", "pushrod_to_head", "piston_to_valve", "valve_lift",
)  # fmt: skip
NEARER = frozenset({"block_milled", "head_milled", "gasket_thickness"})
BY_LENGTH = ("rocker_to_retainer", "pushrod_to_head")


class VoidCause(NamedTuple):
    """What makes a reading void, and the state after which it changed if the text does not name it."""

    text: str
    after: State | None = None


def clearance_void(facts: Facts, path: str, subject: Subject) -> Undecided | None:
    """Why a clearance counts as not taken; None if it applies, and for paths that are no clearance."""
    node, cause = facts.node(path, subject), void_cause(facts, path, subject)
    if node is None or cause is None:
        return None
    after = f" after state '{cause.after.name}'" if cause.after is not None else ""
    return Undecided(f"the reading is void, {cause.text}{after}", (node.place,))


def void_cause(facts: Facts, path: str, subject: Subject) -> VoidCause | None:
    """What makes a clearance void; None if it applies, and for paths that are no clearance.

    ``retainer_to_seal`` is read with the valve closed: another lobe or ratio leaves the reading as it is, and the
    clearance computed from it loses the change of lift.
    """
    if not path.startswith("clearances.") or facts.node("marks.states") is None:
        return None
    key, state = path.rpartition(".")[2], clearance_state(facts, path, subject)
    if state is None or not is_earlier(facts, state):
        return None
    closed = key == "retainer_to_seal"
    since = void_since(facts, subject, state, (), WITH_HEAD) if closed else void_since(facts, subject, state)
    if since is not None:
        return VoidCause(since.reason)
    changed = _cause(key, {change.path or change.name for change in changes_since(facts, subject, state)})
    return VoidCause(changed, state) if changed else None


def clearance_state(facts: Facts, path: str, subject: Subject) -> State | None:
    """The state in which a valve's clearance was read; None without states or without a reading."""
    key, node, clearances = path.rpartition(".")[2], facts.node(path, subject), facts.node("clearances")
    if node is None or clearances is None:
        return None
    entry = next((one for one in _each(clearances) if one.get(key) is node), None)
    return state_of(facts, entry, clearances)


def depends_on(key: str, path: str) -> bool:
    """Whether another part at a path, as states list it, makes a reading of a clearance void."""
    return key != "retainer_to_seal" if path in VOIDING else bool(_cause(key, {path}))


def _cause(key: str, changed: set[str]) -> str:
    """What voids a clearance: engineering practice of the trade, computed nowhere."""
    if key != "retainer_to_seal" and "cam.{valve}.lobe_lift" in changed:
        return "the lobe lift changed"
    if key in ("retainer_to_seal", "piston_to_valve") and "heads.stem_height" in changed:
        return "the stem height changed"
    if key in ("retainer_to_seal", "piston_to_valve") and "seat_sunk" in changed:
        return "the valve seat was cut"
    nearer = changed & (NEARER | {"heads.gasket.thickness"})
    if key == "piston_to_valve" and nearer:
        return "block, head or gasket changed"
    return "the pushrod length or the pivot height changed" if key in BY_LENGTH and changed else ""


def _each(clearances: Node) -> list[Node]:
    each = clearances.get("each")
    return each.items if each is not None else []
