"""The answer to a new reading in one line: what it means, and what to do next."""

from __future__ import annotations

import difflib

from buildcheck.advice.valve_advice import Advice, advise, lacking
from buildcheck.app.build_check import CheckedBuild
from buildcheck.app.recording import ChangedFile
from buildcheck.build.facts import Facts
from buildcheck.build.new_motion import NewMotion
from buildcheck.core.escape import one_line
from buildcheck.core.plural import counted
from buildcheck.core.subject import Subject
from buildcheck.core.value import NotApplicable, Undecided
from buildcheck.output import advice_wording as bench
from buildcheck.output.correction_wording import as_sentence, cure
from buildcheck.output.finding_wording import fact
from buildcheck.output.value_wording import value_text
from buildcheck.quantities.marks import direction
from buildcheck.units.quantity import show


def trial_answer(checked: CheckedBuild, subject: Subject, marked: bool = True) -> str:
    """What the trials of a valve mean now, and what to do next at it; ``marked``: the last trial has a mark."""
    if reason := lacking(checked.facts):
        return f"entered. No advice yet: {reason}."
    try:
        advice = advise(checked.facts, subject)
    except (NotApplicable, Undecided) as unread:
        return f"entered. {as_sentence(unread.reason)}"
    system = checked.facts.system
    found = "; ".join(filter(None, (_mark(advice, system), _pivot(advice, system))))
    if found and advice.marked and not marked:
        found = f"entered without a mark. From the mark before: {found}"
    steps = filter(None, (cure(advice, system), bench.to_do(advice, system)))
    return " ".join([f"{found}." if found else "entered.", *steps])


def clearance_answer(checked: CheckedBuild, subject: Subject, name: str) -> str:
    """The rules that a clearance decides, each with its limit; ``subject`` without a cylinder for a valve type."""
    node = checked.facts.node(f"clearances.{{valve}}.{name}", subject)
    read = node.get("value") or node if node is not None else None
    judged = (one for one in checked.results if read is not None and read.place in one.places and one.value is not None)
    found = list(dict.fromkeys(fact(checked, result).rstrip(".") for result in judged))
    return f"{'; '.join(found)}." if found else "entered. No rule can judge it yet."


def motion_answer(checked: CheckedBuild, reading: NewMotion, count: int) -> str:
    """What the readings of a lobe show so far: its centreline and the gap to the piston, or what they still lack."""
    facts, subject = checked.facts, reading.subject
    centreline, gap = _known_by_motion(facts, "measured_centreline", subject), ""
    if reading.at == "valve":
        gap = _known_by_motion(facts, "piston_gap_least", subject)
    return " ".join(filter(None, (f"{counted(count, 'reading')}.", gap, centreline)))


def _known_by_motion(facts: Facts, name: str, subject: Subject) -> str:
    title = facts.quantities[name].title
    try:
        value = facts.get(name, subject)
    except (NotApplicable, Undecided) as unread:
        return f"{title} is not known yet: {unread.reason}."
    remark = f" {value.remark}" if value.remark else ""
    return f"{title} {value_text(value, facts.system)}{remark}."


def _mark(advice: Advice, system: str) -> str:
    if not advice.marked:
        return "no mark entered yet"
    if advice.margin is not None and advice.margin.si <= 0:
        return "the mark has run off the edge of the valve tip"
    if advice.offset is None:
        return ""
    size = _short(abs(advice.offset.si), system)
    if size == _short(0.0, system):
        return "mark in the middle of the tip"
    return f"mark {size} off centre, {direction(advice.offset.si)}"


def _pivot(advice: Advice, system: str) -> str:
    error = advice.height_error
    if error is None or not advice.roller:
        return ""
    if abs(error.si) <= error.expanded:
        return f"pivot height correct within {_short(abs(error.si) + error.expanded, system)}"
    way = "too low" if error.si > 0 else "too high"
    return f"pivot {_short(abs(error.si), system)} {way if error.sign_known else 'too low or too high'}"


def _short(si: float, system: str) -> str:
    """To a thousandth of an inch or a hundredth of a millimetre: what can be read at the bench."""
    return show(si, "length", system, -1)


def changed_line(changed: ChangedFile) -> int:
    """The line at which the last change ends, from 1."""
    old, new = changed.before.splitlines()[::-1], changed.after.splitlines()[::-1]
    return len(new) - next((n for n, line in enumerate(new) if old[n : n + 1] != [line]), 0)


def diff_text(changed: ChangedFile) -> str:
    """The change of a file that is not written."""
    name = changed.path.name
    lines = difflib.unified_diff(
        changed.before.splitlines(), changed.after.splitlines(), name, f"{name} (not written)", lineterm="", n=1
    )
    return "".join(f"{one_line(line)}\n" for line in lines)
