"""The advice as text: a block for each valve that needs work, and one table for the valves that are good."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from buildcheck.advice.valve_advice import Advice
from buildcheck.app.build_check import CheckedBuild
from buildcheck.core.escape import one_line
from buildcheck.core.subject import Subject
from buildcheck.core.value import NotApplicable, Undecided
from buildcheck.output import advice_wording as bench
from buildcheck.output.correction_wording import fix_text, side
from buildcheck.output.value_wording import value_text
from buildcheck.output.wording import subjects_text
from buildcheck.rules.results import Result
from buildcheck.units.quantity import show

_HEADINGS = {"cure": "correct", "sure": "accuracy"}
"""What the bench reads for a key of the data."""


def valve_blocks(checked: CheckedBuild, found: list[Advice], every: bool) -> Iterator[str]:
    """The valves that need work, each with all its lines, then the others in one table; ``every``: no table."""
    failures = {one.subject: failure(checked, one.subject) for one in found}
    work = [one for one in found if every or one.needs_work or failures[one.subject].text]
    yield from (_block(checked, one, failures[one.subject]) for one in work)
    yield from dict.fromkeys(one_line(note) for one in work for note in bench.notes(one))
    if good := [one for one in found if one not in work]:
        yield "\n".join(["Good, no further trial is needed:", *_table(checked, good)])
        yield "\n".join(_adjusters(checked, good))


class Failure(NamedTuple):
    """What fails on a valve and the rule's fix, empty if nothing does; ``blocks``: whether it blocks."""

    text: str = ""
    blocks: bool = False


def failure(checked: CheckedBuild, subject: Subject) -> Failure:
    """The failure of a rule that is due on a valve; what blocks and causes the others first."""
    failed = [one for one in checked.results if one.subject == subject and _fails(one)]
    lead = min(failed, key=lambda one: ((one.rule, subject) in checked.causes, not one.blocks), default=None)
    if lead is None:
        return Failure()
    return Failure(f"{checked.rules[lead.rule].title}: fails. {fix_text(lead.fix)}", any(one.blocks for one in failed))


def valve_lines(checked: CheckedBuild, one: Advice, fails: Failure) -> list[tuple[str, str]]:
    """All lines on one valve, as pairs of heading and text."""
    lines = bench.lines(one, checked.facts.system, fails.text, fails.blocks)
    turn = screw_text(checked, one.subject)
    return [*lines, ("adjuster", turn)] if turn and not fails.blocks else lines


def screw_text(checked: CheckedBuild, subject: Subject) -> str:
    """Which way and how far to turn the screw from where it is now, with the chosen pushrod; empty without a screw."""
    facts = checked.facts
    try:
        target, pitch = facts.get("adjuster_stand", subject), facts.pitch("rockers.adjuster_thread")
    except (NotApplicable, Undecided):
        return ""
    now = facts.optional("rockers.screw_at")
    by = target.si - (now.si if now is not None else 0.0)
    size = show(abs(by), "length", facts.system)
    if size == show(0.0, "length", facts.system):
        return "leave the screw where it is"
    return f"screw {'down' if by > 0 else 'up'} {size} = {abs(by) / pitch.si:.2f} turn"


def _fails(result: Result) -> bool:
    return result.kind == "fail" and result.due_now and result.concession is None


def _block(checked: CheckedBuild, one: Advice, fails: Failure) -> str:
    shown = ((_HEADINGS.get(name, name), text) for name, text in valve_lines(checked, one, fails))
    lines = [f"  {heading:<9}{one_line(text)}" for heading, text in shown]
    return "\n".join([f"{one.subject.text} ({one.place})", *lines])


def _table(checked: CheckedBuild, good: list[Advice]) -> Iterator[str]:
    rows = [_row(checked, one) for one in good]
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    for row in rows:
        cells = (cell.ljust(width) for cell, width in zip(row, widths, strict=True))
        yield f"  {'  '.join(cells)}".rstrip()


def _row(checked: CheckedBuild, one: Advice) -> list[str]:
    """Valve, mark, distance to the edge, required length and place."""
    system = checked.facts.system
    mark = f"mark {side(one.offset, system)}" if one.offset is not None else "no mark"
    edge = f"{show(one.margin.si, 'length', system)} to the edge" if one.margin is not None else ""
    length = f"required length {value_text(one.length_asked, system)}" if one.length_asked is not None else ""
    return [one.subject.text, mark, edge, length, f"({one.place})"]


def _adjusters(checked: CheckedBuild, good: list[Advice]) -> Iterator[str]:
    """What to do with the adjusters, once for all valves that need the same."""
    system, same = checked.facts.system, dict[str, list[Subject]]()
    for one in good:
        text = screw_text(checked, one.subject) or bench.adjuster(one, system)
        if text:
            same.setdefault(text, []).append(one.subject)
    for text, subjects in same.items():
        yield f"Adjuster, {subjects_text(subjects)}: {text}."
