"""The section 'Next at the bench': the valves on which something is left to do, and what."""

from __future__ import annotations

from buildcheck.advice.valve_advice import Advice, advice
from buildcheck.app.build_check import CheckedBuild
from buildcheck.output import advice_wording as bench
from buildcheck.output.correction_wording import cure
from buildcheck.record import Record


class NextStep(Record):
    """One valve: its pivot height from the mark, what to do next, and how sure that is."""

    who: str
    pivot: str
    step: str
    uncertainty: str


class NextSteps(Record):
    """The valves that need work, and the notes on them."""

    rows: tuple[NextStep, ...]
    notes: tuple[str, ...]


def next_steps(checked: CheckedBuild) -> NextSteps:
    """Rows for the valves that need work, and the notes that belong to them, each once."""
    needy = [each for each in advice(checked.facts) if each.needs_work] if not checked.problems else []
    rows = tuple(_next_step(each, checked.facts.system) for each in needy)
    return NextSteps(rows, tuple(dict.fromkeys(note for each in needy for note in bench.notes(each))))


def _next_step(of: Advice, system: str) -> NextStep:
    return NextStep(
        who=of.subject.key.replace("/", " "),
        pivot="; ".join(filter(None, (of.moved, bench.pivot(of, system) or bench.mark(of, system)))),
        step=f"{cure(of, system)} {bench.to_do(of, system)}".strip(),
        uncertainty=bench.sure(of, system),
    )
