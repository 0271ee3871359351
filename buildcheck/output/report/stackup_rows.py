"""What the report shows of the stack-up: the known length, each change by its size, the length to expect."""

from __future__ import annotations

from collections.abc import Iterator

from buildcheck.app.build_check import CheckedBuild
from buildcheck.build.facts import Facts
from buildcheck.core.subject import Subject
from buildcheck.core.value import NotApplicable, Undecided
from buildcheck.output.value_wording import value_text
from buildcheck.quantities.predicted_length import baseline, contributed
from buildcheck.record import Record


class StackupRow(Record):
    """One line of the stack-up: what it is, and what it is or adds for each valve type with a known value."""

    what: str
    amounts: str


def stack_up(checked: CheckedBuild) -> list[StackupRow]:
    """The stack-up's lines, largest change first; empty without a known length."""
    known = {subject: rows for subject in checked.facts.subjects("valve_type") if (rows := _lines(checked, subject))}
    names = list(dict.fromkeys(name for rows in known.values() for name in rows))
    return [StackupRow(name, _amounts({subject: rows[name] for subject, rows in known.items()})) for name in names]


def _lines(checked: CheckedBuild, subject: Subject) -> dict[str, str]:
    try:
        return dict(_stackup_rows(checked.facts, subject))
    except (NotApplicable, Undecided):
        return {}


def _stackup_rows(facts: Facts, subject: Subject) -> Iterator[tuple[str, str]]:
    system = facts.system
    yield "known length, in this build's convention", value_text(baseline(facts, subject), system)
    for name, part in contributed(facts, subject):
        yield name.replace("_", " "), ("+" if part.si > 0 else "") + value_text(part, system)
    yield "length to expect", value_text(facts.get("predicted_length", subject), system)


def _amounts(each: dict[Subject, str]) -> str:
    """One text where all valve types have the same, else each with its own."""
    if len(set(each.values())) == 1:
        return next(iter(each.values()))
    return "; ".join(f"{subject.text} {amount}" for subject, amount in each.items())
