"""The report's rows of readings carried over from an earlier state of the engine, and of readings that are void."""

from __future__ import annotations

from collections.abc import Iterator

from buildcheck.app.build_check import CheckedBuild
from buildcheck.build.trial import Carried, Trial
from buildcheck.build.trials import measured, trials, void_readings
from buildcheck.core.plural import plural
from buildcheck.core.problem import Place
from buildcheck.core.subject import Subject
from buildcheck.core.value import Undecided, Value
from buildcheck.output.value_wording import value_text
from buildcheck.output.wording import subjects_text
from buildcheck.record import Record


class CarriedRow(Record):
    """Valves of which readings were carried over alike: from which state, for which changes, by how much."""

    who: str
    state: str
    changes: str
    length: str
    height: str


class VoidRow(Record):
    """Trials that count as not taken, for one cause."""

    who: str
    cause: str
    place: Place


def carried_rows(checked: CheckedBuild) -> list[CarriedRow]:
    """One row for each state, change and valve type."""
    found: dict[tuple[str, str, str, str], list[Subject]] = {}
    for subject in checked.facts.subjects("valve"):
        for key in dict.fromkeys(_carried(checked, subject)):
            found.setdefault(key, []).append(subject)
    return [CarriedRow(subjects_text(subjects), *key) for key, subjects in found.items()]


def _carried(checked: CheckedBuild, subject: Subject) -> Iterator[tuple[str, str, str, str]]:
    for trial in _read(checked, subject):
        if trial.carried:
            system = checked.facts.system
            changes = "; ".join(_change(term, system) for term in trial.carried)
            lengths, heights = ([getattr(term, side) for term in trial.carried] for side in ("length", "height"))
            yield trial.state, changes, _total(lengths, system), _total(heights, system)


def _read(checked: CheckedBuild, subject: Subject) -> tuple[Trial, ...]:
    try:
        read = trials(checked.facts, subject) if measured(checked.facts, subject) else ()
    except Undecided:
        return ()
    return tuple(trial for trial in read if not trial.predicted)


def _change(term: Carried, system: str) -> str:
    return f"{term.change.name.replace('_', ' ')} {_signed(term.change.value, system)}"


def _total(values: list[Value], system: str) -> str:
    expanded = sum(value.expanded**2 for value in values) ** 0.5
    total = Value(sum(value.si for value in values), "length", {"": expanded / 2} if expanded else {})
    return _signed(total, system) if total.si else "0"


def _signed(value: Value, system: str) -> str:
    return ("+" if value.si > 0 else "") + value_text(value, system)


def void_rows(checked: CheckedBuild) -> list[VoidRow]:
    """One row for each cause and valve type, at the first of its trials."""
    found: dict[tuple[str, str], list[tuple[str, Place]]] = {}
    for subject in checked.facts.subjects("valve"):
        numbers: dict[str, list[tuple[int, Place]]] = {}
        for void in void_readings(checked.facts, subject):
            numbers.setdefault(void.reason, []).append((void.number, void.place))
        for reason, same in numbers.items():
            trial = f"{plural(len(same), 'trial')} {', '.join(str(number) for number, _ in same)}"
            found.setdefault((subject.valve or "", reason), []).append((f"{subject.cylinder} ({trial})", same[0][1]))
    return [
        VoidRow(f"{valve} {', '.join(who for who, _ in same)}", reason, same[0][1])
        for (valve, reason), same in found.items()
    ]
