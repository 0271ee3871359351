"""Quantities that a supposed change moves: lift, narrowest mark, clearances, spring forces and cam events."""

from __future__ import annotations

from collections.abc import Container, Iterator, Mapping, Sequence

from buildcheck.build.clearance_readings import VoidCause, void_cause
from buildcheck.build.facts import Facts
from buildcheck.core.subject import Subject
from buildcheck.core.value import Value
from buildcheck.formulas.decision import noise
from buildcheck.record import Record

MOVED = (
    "valve_lift", "mark_width_least", "coil_bind_clearance", "retainer_to_seal_clearance", "spring_force_open",
    "pushrod_load", "intake_opens", "intake_closes", "exhaust_opens", "exhaust_closes", "overlap", "predicted_length",
)  # fmt: skip

CLEARANCES = (
    "retainer_to_seal", "rocker_to_retainer", "rocker_to_stud", "pushrod_to_head", "piston_to_valve", "valve_lift",
)  # fmt: skip


class Effect(Record):
    """One quantity before and after; ``now`` is None if only the change can be determined."""

    title: str
    subject: Subject
    now: Value | None
    then: Value
    remark: str = ""


def changed(facts: Facts, then: Facts) -> Iterator[Effect]:
    """The quantities of MOVED that differ, in that order."""
    for name in MOVED:
        for subject in facts.subjects(facts.quantities[name].per):
            now, after = facts.get_or_none(name, subject), then.get_or_none(name, subject)
            if now is not None and after is not None and abs(now.si - after.si) > noise(now.si, after.si):
                yield Effect(facts.quantities[name].title, subject, now, after)


def lost_clearances(facts: Facts, then: Facts, shown: Container[str] = ()) -> dict[str, str]:
    """Clearances that would have to be measured again, each with its reason; without those with an effect ``shown``."""
    reasons: dict[str, dict[str, list[str]]] = {}
    for key in CLEARANCES:
        for subject in facts.subjects("valve_type"):
            if key not in shown and _read(facts, key, subject) and (void := _void(then, key, subject)) is not None:
                why = f"the reading is void, {void.text}"
                reasons.setdefault(why, {}).setdefault(key, []).append(subject.text)
    return {_names(keys): reason for reason, keys in reasons.items()}


def _names(keys: Mapping[str, Sequence[str]]) -> str:
    """Each clearance once, the valve type only if the other one keeps its reading."""
    return ", ".join((f"{types[0]} " if len(types) == 1 else "") + key.replace("_", " ") for key, types in keys.items())


def _read(facts: Facts, key: str, subject: Subject) -> bool:
    return facts.optional(f"clearances.{{valve}}.{key}", subject) is not None


def _void(then: Facts, key: str, subject: Subject) -> VoidCause | None:
    return void_cause(then, f"clearances.{{valve}}.{key}", subject)
