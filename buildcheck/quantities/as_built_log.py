"""Named quantities of the log as_built.yaml: what was set, torqued and seen at each valve, and who signed."""

from __future__ import annotations

from collections.abc import Callable

from buildcheck.build.facts import Facts
from buildcheck.core.listing import first_names
from buildcheck.core.subject import BUILD, Subject
from buildcheck.core.value import NotApplicable, Value, derive, exact
from buildcheck.quantities.materials import metal
from buildcheck.quantities.thread_turns import holding_thread
from buildcheck.units.quantity import parse_thread
from buildcheck.yamlio.nodes import Node

MAX_NAMED = 4

IRON = ("ductile iron", "grey cast iron", "steel")
"""Metals in which a thread of one diameter holds a bolt: common practice, no published source."""


def settings_unrecorded(facts: Facts, subject: Subject) -> Value:
    """Number of valves without adjuster turns (hydraulic) or lash (solid) in as_built.yaml."""
    if facts.text("rockers.adjuster") == "none" and facts.is_hydraulic:
        raise NotApplicable("there is no adjuster: the pushrod length sets the preload")
    what = "adjuster_turns" if facts.is_hydraulic else "lash"
    return _without(facts, f"{what} recorded", lambda valve: facts.node(f"as_built.each.{what}", valve) is not None)


def torques_unrecorded(facts: Facts, subject: Subject) -> Value:
    """Number of valves without a rocker torque in as_built.yaml."""
    return _without(
        facts, "rocker torque recorded", lambda valve: facts.node("as_built.each.rocker_torque", valve) is not None
    )


def rockers_without_oil(facts: Facts, subject: Subject) -> Value:
    """Number of rockers at which nobody has seen oil."""

    def oil_seen(valve: Subject) -> bool:
        node = facts.node("as_built.each.oil_seen", valve)
        return node is not None and node.value is True

    return _without(facts, "oil seen", oil_seen)


def rocker_torque(facts: Facts, subject: Subject) -> Value:
    """Recorded torque of the rocker of a valve, N·m."""
    torque = facts.optional("as_built.each.rocker_torque", subject)
    if torque is None:
        raise NotApplicable("no rocker torque is recorded for this valve")
    return torque


def rocker_torque_least(facts: Facts, subject: Subject) -> Value:
    """Smallest torque that the maker of the rocker states, N·m."""
    return _required_torque(facts, "at_least")


def rocker_torque_most(facts: Facts, subject: Subject) -> Value:
    """Largest torque that the maker of the rocker allows, N·m."""
    return _required_torque(facts, "at_most")


def engagement(facts: Facts, subject: Subject) -> Value:
    """Length of thread that the nut or bolt of a rocker holds by, in thread diameters."""
    held = facts.optional("as_built.each.engagement", subject)
    if held is None:
        raise NotApplicable("no thread engagement is recorded for this valve")
    thread = holding_thread(facts)
    node = facts.node(thread)
    if node is None:
        raise facts.missing(thread)
    diameter = Value(float(parse_thread(str(node.value)).diameter), "length", {}, (node.place,))
    remark = engagement_least(facts, subject).remark
    return derive("ratio", lambda length, d: length / d, held, diameter, remark=remark)


def engagement_least(facts: Facts, subject: Subject) -> Value:
    """Smallest length of thread that must hold, in thread diameters.

    It is 1 on a stud and for a bolt in iron or steel, 1.5 in any other head.
    """
    if facts.text("rockers.mount") == "stud":
        return exact(1.0, "ratio")
    node = facts.node("heads.material")
    if node is None:
        return exact(1.5, "ratio").with_remark("a bolt in a head without a material in heads.yaml")
    held_by = _metal(node)
    remark = f"a bolt in {held_by or 'a head that is not known to be iron or steel'}"
    return Value(1.0 if held_by in IRON else 1.5, "ratio", {}, (node.place,), remark)


def _metal(node: Node) -> str:
    try:
        return metal(str(node.value))
    except ValueError:
        return ""


def warm_check(facts: Facts, subject: Subject) -> Value:
    """1 if the engine was checked warm and the temperature entered, 0 if not."""
    return _recorded(facts, "as_built.running_check.temperature", "checked warm")


def signature(facts: Facts, subject: Subject) -> Value:
    """1 if a licensed or approved person signed, 0 if not; only if a person's safety depends on the engine."""
    node = facts.node("build.person_at_risk")
    if node is None or node.value is not True:
        raise NotApplicable("person_at_risk is not true in build.yaml")
    return _recorded(facts, "as_built.signed_by", "signed")


def _recorded(facts: Facts, path: str, word: str) -> Value:
    root, node = _log(facts), facts.node(path)
    return Value(float(node is not None), "count", {}, ((node or root).place,), word if node else f"not {word} yet")


def _without(facts: Facts, what: str, holds: Callable[[Subject], bool]) -> Value:
    places = ((_log(facts).get("each") or _log(facts)).place,)
    lacking = [valve.text for valve in facts.subjects("valve") if not holds(valve)]
    named = first_names(lacking, MAX_NAMED)
    return Value(
        float(len(lacking)), "count", {}, places, f"no {what}: {named}" if lacking else f"{what} at every valve"
    )


def _log(facts: Facts) -> Node:
    node = facts.node("as_built")
    if node is None:
        raise facts.missing("as_built")
    return node


def _required_torque(facts: Facts, side: str) -> Value:
    required = facts.optional(f"rockers.torque.{side}", BUILD)
    if required is None:
        raise NotApplicable("rockers.yaml gives no torque")
    return required
