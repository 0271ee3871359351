"""The readings that are left, in words and as data: which to take next and why, when to stop, which instrument."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from buildcheck.advice.deciding_instrument import DecidingInstrument, deciding_instruments
from buildcheck.advice.next_readings import NextReading, NextReadings, next_readings
from buildcheck.app.build_check import CheckedBuild
from buildcheck.output.json import amount
from buildcheck.output.json_rows import subject_fields
from buildcheck.output.wording import CHANCE, subjects_text
from buildcheck.units.display import percent_above
from buildcheck.units.quantity import show

SHOWN = 3
"""So many readings are shown in words, the most useful first; the data have all."""


def next_reading_lines(checked: CheckedBuild) -> Iterator[str]:
    """What to read next, when to stop, and which instrument would decide an undecided rule.

    While a rule fails, its correction comes first.
    """
    found, fails = next_readings(checked.facts), any(one.blocks and one.kind == "fail" for one in checked.results)
    if found.ranked:
        yield f"Next readings{' after the correction' if fails else ''}, the most useful first:"
        for number, one in enumerate(found.ranked[:SHOWN], 1):
            yield f"  {number}. {one.subject.text}: {_effect(one, found)}"
        yield (
            "Do not order yet. Correct the errors that 'check' shows first, then check again."
            if fails
            else _stop(found)
        )
    yield from _instrument_lines(checked)


def next_reading_data(checked: CheckedBuild) -> dict[str, Any]:
    """The same for scripts, with all readings that are left."""
    found = next_readings(checked.facts)
    return {
        "readings": [_data(one) for one in found.ranked],
        "risk": found.risk,
        "risk_limit": found.limit,
        "may_stop": found.may_stop or not found.ranked,
        "instruments": [_instrument_data(checked, one) for one in _instruments(checked)],
    }


def _effect(one: NextReading, found: NextReadings) -> str:
    if one.required:
        return "required before an order can be decided."
    if one.changes_order is None or one.risk_after is None or found.risk is None:
        return "shows how much the valves differ."
    now, after = percent_above(found.risk), percent_above(one.risk_after)
    left = f"lowers the {CHANCE} from {now} to {after}"
    changes = f"The chance that it changes the order is below {percent_above(one.changes_order)}."
    return f"{left}{', within its limit' if one.decides else ''}. {changes}"


def _stop(found: NextReadings) -> str:
    if found.risk is None or found.limit is None:
        return "Do not stop yet: the risk of the valves that are not measured cannot be estimated."
    if not found.may_stop:
        now, most = percent_above(found.risk), percent_above(found.limit)
        return f"Do not stop yet: the {CHANCE} is up to {now}, more than {most}."
    them = "them" if len(found.ranked) > 1 else "it"
    return f"You can order without {them}. Measure every valve before you assemble the engine."


def _instruments(checked: CheckedBuild) -> list[DecidingInstrument]:
    return list(deciding_instruments(checked.facts, checked.results))


def _instrument_lines(checked: CheckedBuild) -> Iterator[str]:
    """One line for each undecided rule and kind of reading: the valve that requires the finest one."""
    groups: dict[tuple[str, str], list[DecidingInstrument]] = {}
    for one in _instruments(checked):
        groups.setdefault((one.rule, one.kind), []).append(one)
    for alike in groups.values():
        yield _instrument(checked, alike, min(alike, key=lambda one: one.good_to or 0.0))


def _instrument(checked: CheckedBuild, alike: Sequence[DecidingInstrument], finest: DecidingInstrument) -> str:
    who = subjects_text(one.subject for one in alike)
    where = f"Undecided, {who + ', ' if who else ''}{checked.rules[finest.rule].title.lower()}"
    if finest.good_to is None:
        return f"{where}: a finer {finest.kind} reading alone does not decide it."
    good_to = show(finest.good_to, "length", checked.facts.system)
    what = f"a {finest.instrument}, or any reading" if finest.instrument else "a reading"
    return f"{where}: {what} good to {good_to} decides it, first at {finest.place}."


def _data(one: NextReading) -> dict[str, Any]:
    return {
        "subject": subject_fields(one.subject),
        "required": one.required,
        "decides": one.decides,
        "changes_order": one.changes_order,
        "risk_after": one.risk_after,
    }


def _instrument_data(checked: CheckedBuild, one: DecidingInstrument) -> dict[str, Any]:
    good_to = amount(one.good_to, "length", checked.facts.system) if one.good_to is not None else None
    return {
        "rule": one.rule,
        "subject": subject_fields(one.subject),
        "place": str(one.place),
        "instrument": one.instrument,
        "good_to": good_to,
    }
