"""How far the adjuster is turned once the rods are in: past zero lash for a preload, back from it for a lash."""

from __future__ import annotations

from collections.abc import Iterator

from buildcheck.build.facts import Facts
from buildcheck.core.subject import Subject
from buildcheck.core.value import NotApplicable, Undecided
from buildcheck.quantities.lengths import NO_SCREW_AT, adjuster_turns, preload_aim, screw_at_missing
from buildcheck.quantities.warm_engine import stated_hot
from buildcheck.units.quantity import show


def settings(facts: Facts) -> Iterator[str]:
    """A clause for each adjuster setting that is known, with its valve types, and one for a position not entered."""
    types = dict[str, list[str]]()
    for subject in facts.subjects("valve_type"):
        try:
            text = _past(facts, subject) if facts.is_hydraulic else _back(facts, subject)
        except (Undecided, NotApplicable):
            continue
        types.setdefault(text, []).append(subject.text)
    yield from (f"{' and '.join(alike)} {text}" for text, alike in types.items())
    if screw_at_missing(facts):
        yield NO_SCREW_AT


def _past(facts: Facts, subject: Subject) -> str:
    """Turns as written, else for the preload aimed at."""
    each, turns = facts.get("preload_per_turn", subject), adjuster_turns(facts, subject)
    preload = turns.si * each.si if turns is not None else preload_aim(facts).si
    text = show(preload, "length", facts.system)
    return f"{preload / each.si:.2f} turns past zero lash, {text} of preload"


def _back(facts: Facts, subject: Subject) -> str:
    stated = show(facts.field("cam.{valve}.lash", subject).si, "length", facts.system)
    at = "hot" if stated_hot(facts) else "cold"
    turns = facts.get("lash_turns", subject)
    text = f"{turns.si:.2f} turns back from zero lash, then by gauge to {stated} of lash {at}"
    return f"{text} ({turns.remark})" if turns.remark else text
