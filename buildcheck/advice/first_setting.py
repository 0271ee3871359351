"""Where to set the checking pushrod before anything is measured: at the zero-lash length to expect."""

from __future__ import annotations

from collections.abc import Iterator

from buildcheck.build.facts import Facts
from buildcheck.build.length_conventions import measured_on_checker, minus, plus
from buildcheck.build.trials import measured
from buildcheck.core.subject import Subject
from buildcheck.core.value import NotApplicable, Undecided, Value, derive, exact
from buildcheck.record import Record


class FirstSetting(Record):
    """The first setting for a valve type: what the gauge shows over the checker (m), and its turns if they are known.

    ``checker``: the name of one of several; ``reading`` carries the uncertainty of the predicted length.
    """

    subject: Subject
    checker: str
    reading: Value
    turns: float | None


def first_settings(facts: Facts) -> list[FirstSetting]:
    """One for each valve type without a reading and each checker that reaches; none without a predicted length."""
    found: list[FirstSetting] = []
    for subject in facts.subjects("valve_type"):
        valves = [valve for valve in facts.subjects("valve") if valve.valve == subject.valve]
        if not any(measured(facts, valve) for valve in valves):
            found += _settings(facts, subject)
    return found


def _settings(facts: Facts, subject: Subject) -> Iterator[FirstSetting]:
    try:
        expected = _zero_lash(facts, subject)
        for name in _checkers(facts):
            reading = minus(expected, measured_on_checker(facts, exact(0.0, "length"), name))
            turns = _turns(facts, name, reading.si)
            if turns is None or _reaches(facts, name, turns):
                yield FirstSetting(subject, name, reading, turns)
    except (NotApplicable, Undecided):
        return


def _zero_lash(facts: Facts, subject: Subject) -> Value:
    """The predicted length without preload, or with the lash taken up, m."""
    predicted = facts.get("predicted_length", subject)
    if facts.is_hydraulic:
        return minus(predicted, facts.field("stackup.baseline.preload"))
    lash, ratio = facts.optional("cam.{valve}.lash", subject), facts.field("rockers.ratio", subject)
    gap = derive("length", lambda at_valve, r: at_valve / r, lash, ratio) if lash is not None else exact(0.0, "length")
    return plus(predicted, gap)


def _checkers(facts: Facts) -> list[str]:
    several = facts.node("pushrods.checkers")
    return list(several.entries) if several is not None else [""]


def _turns(facts: Facts, name: str, reading: float) -> float | None:
    path = _path(name)
    if facts.node(f"{path}.thread") is None or facts.node(f"{path}.length_at_zero_turns") is None:
        return None
    return (reading - facts.field(f"{path}.length_at_zero_turns").si) / facts.pitch(f"{path}.thread").si


def _reaches(facts: Facts, name: str, turns: float) -> bool:
    most = facts.optional(f"{_path(name)}.most_turns")
    return turns >= 0 and (most is None or turns <= most.si)


def _path(name: str) -> str:
    return f"pushrods.checkers.{name}" if name else "pushrods.checker"
