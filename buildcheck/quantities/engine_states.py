"""Named quantities of readings and the states they were taken in: what to read again, and what to note."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from buildcheck.build.facts import Facts
from buildcheck.build.states import LISTED, State, measured_again, now, states, title, was
from buildcheck.build.trial import Trial
from buildcheck.build.trials import measured, same_type, trials
from buildcheck.core.problem import Place
from buildcheck.core.subject import BUILD, Subject
from buildcheck.core.value import NotApplicable, Value
from buildcheck.yamlio.documents import Node

Remark = tuple[str, Place]


def carried_over_alone(facts: Facts, subject: Subject) -> Value:
    """1 if every length of a valve type was carried over from an earlier state, 0 if at least one was read since."""
    read = [trial for valve in same_type(facts, subject) for trial in _read(facts, valve)]
    carried = [trial for trial in read if trial.carried]
    if not carried:
        raise NotApplicable("no length was carried over from an earlier state of the engine")
    changes = dict.fromkeys(term.change.name.replace("_", " ") for trial in carried for term in trial.carried)
    alone = len(carried) == len(read)
    remark = f"all lengths were read before a change ({', '.join(changes)})" if alone else "one was read since"
    return Value(float(alone), "count", {}, tuple(trial.place for trial in carried), remark)


def _read(facts: Facts, valve: Subject) -> list[Trial]:
    if not measured(facts, valve):
        return []
    return [trial for trial in trials(facts, valve) if trial.length is not None and not trial.predicted]


def reading_remarks(facts: Facts, subject: Subject) -> Value:
    """Number of remarks on readings: dates out of order, void trials, unknown parts, parts measured again."""
    remarks = [*_dates(facts), *_void(facts), *_unknown(facts), *_again(facts)]
    if not remarks and not states(facts):
        raise NotApplicable("marks.yaml has no states, no void trials and no dates out of order")
    places = tuple(place for _, place in remarks)
    return Value(float(len(remarks)), "count", {}, places, "; ".join(words for words, _ in remarks))


def _dates(facts: Facts) -> Iterator[Remark]:
    """Trials dated before the one above them."""
    for entry in _valves(facts):
        above: Node | None = None
        for number, trial in enumerate(_trials(entry), 1):
            day = trial.get("on")
            if day is not None and above is not None and _day(day) < _day(above):
                yield (
                    f"{_who(entry)}: trial {number} is dated {day.value}, before {above.value} of a trial above it",
                    day.place,
                )
            above = day or above


def _void(facts: Facts) -> Iterator[Remark]:
    """The trials that are marked void, the first one with its reason."""
    numbered = ((entry, number, one) for entry in _valves(facts) for number, one in enumerate(_trials(entry), 1))
    found = [(entry, number, why) for entry, number, one in numbered if (why := one.get("void")) is not None]
    for entry, number, why in found[:1]:
        more = f", and {len(found) - 1} more" if found[1:] else ""
        yield f"void, so not used: {_who(entry)} trial {number} ({why.value}){more}", why.place


def _valves(facts: Facts) -> list[Node]:
    valves = facts.node("marks.valves")
    return valves.items if valves is not None else []


def _who(entry: Node) -> str:
    return f"cylinder {entry.word('cylinder')} {entry.word('valve')}"


def _trials(entry: Node) -> list[Node]:
    node = entry.get("trials")
    return node.items if node is not None else []


def _day(node: Node) -> date:
    return date.fromisoformat(str(node.value))


def _unknown(facts: Facts) -> Iterator[Remark]:
    """Parts that an earlier state does not give: its readings are assumed to apply."""
    for state in states(facts)[:-1]:
        if lacking := [title(path) for path in LISTED if _is_unknown(facts, state, path)]:
            yield (
                f"state '{state.name}' does not give {len(lacking)} parts ({lacking[0]}{' …' if lacking[1:] else ''}): "
                "assumed as now",
                state.node.place,
            )


def _is_unknown(facts: Facts, state: State, path: str) -> bool:
    subjects = facts.subjects("valve_type") if "{valve}" in path else (BUILD,)
    return any(now(facts, path, one) is not None and was(facts, state, path, one) is None for one in subjects)


def _again(facts: Facts) -> Iterator[Remark]:
    """Parts with two values within their uncertainty: one part, measured again."""
    for state in states(facts):
        for path in LISTED:
            for one in facts.subjects("valve_type") if "{valve}" in path else (BUILD,):
                then, today = was(facts, state, path, one), now(facts, path, one)
                if then is not None and today is not None and (words := measured_again(facts, path, then, today)):
                    yield (
                        f"{title(path)} measured again, {words[0]} then and {words[1]} now: today's is used",
                        then.place,
                    )
