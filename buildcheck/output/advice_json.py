"""The advice for scripts: one JSON object, in a stable order."""

from __future__ import annotations

from typing import Any

from buildcheck.advice.next_step import Step
from buildcheck.advice.valve_advice import Advice, lacking, unmeasured
from buildcheck.app.build_check import CheckedBuild
from buildcheck.build.trial import VoidReading
from buildcheck.build.trials import assumed_to_apply, void_readings
from buildcheck.core.value import Value
from buildcheck.output import advice_wording as bench
from buildcheck.output.advice_text import failure, valve_lines
from buildcheck.output.json import amount, document, value_fields
from buildcheck.output.json_rows import place_fields, subject_fields
from buildcheck.output.next_readings_wording import next_reading_data
from buildcheck.record import field_names

LENGTHS = ("reading", "good_to", "sure")


def write(checked: CheckedBuild, found: list[Advice]) -> str:
    """The advice for one build: every value as in the results of ``check``, and the texts of the bench."""
    facts, system = checked.facts, checked.facts.system
    data = {
        "folder": checked.build.display_path,
        "name": checked.build.name,
        "lacking": lacking(facts),
        "readings_assumed_to_apply": assumed_to_apply(facts),
        "advice": [_advice(checked, one, system) for one in found],
        "not_measured": [subject_fields(subject) for subject in unmeasured(facts)],
        "void_readings": [_void(one) for valve in facts.subjects("valve") for one in void_readings(facts, valve)],
        "next_readings": next_reading_data(checked),
    }
    return document("advice", data)


def _void(one: VoidReading) -> dict[str, Any]:
    which = {"subject": subject_fields(one.subject), "trial": one.number}
    return {**which, "reason": one.reason, "by_change": one.by_change, **place_fields(one.place)}


def _advice(checked: CheckedBuild, one: Advice, system: str) -> dict[str, Any]:
    fields = {"subject": subject_fields(one.subject), **_fields(one, system)}
    return {
        **fields,
        "needs_work": one.needs_work,
        "texts": dict(valve_lines(checked, one, failure(checked, one.subject))),
        "notes": list(bench.notes(one)),
    }


def _fields(one: Advice | Step, system: str) -> dict[str, Any]:
    return {name: _field(name, getattr(one, name), system) for name in field_names(one) if name != "subject"}


def _field(name: str, found: Any, system: str) -> Any:
    if isinstance(found, Value):
        return value_fields(found, system)
    if isinstance(found, Step):
        return _fields(found, system)
    return amount(found, "length", system) if name in LENGTHS and found is not None else found
