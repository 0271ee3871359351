"""The report's rows of valves: its required length, what its mark says, and whether it passes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from buildcheck.app.build_check import CheckedBuild
from buildcheck.core.subject import Subject
from buildcheck.core.value import NotApplicable, Undecided
from buildcheck.output.report.length_rows import LengthRow, allowed_shown, length_rows
from buildcheck.output.value_wording import value_text
from buildcheck.record import Record
from buildcheck.rules.results import Result
from buildcheck.units.quantity import show


class ValveRow(Record):
    """One valve: its lengths, its mark, its preload or lash, and whether it passes."""

    who: str
    required: str
    allowed: str
    fitted: str
    difference: str
    offset: str
    width: str
    edge_distance: str
    height_error: str
    setting: str
    verdict: str


def valve_rows(checked: CheckedBuild) -> Iterator[ValveRow]:
    """One row a valve; a cell is empty where it does not apply, ``?`` if it is unknown.

    While something blocks, no row shows a pushrod, and no length is shown of a valve that blocks.
    """
    lengths, system = length_rows(checked), checked.facts.system
    blocked, failing = checked.exit_code != 0, {one.subject for one in checked.results if one.blocks}
    due: dict[Subject, list[Result]] = {}
    for result in checked.results:
        if result.due_now:
            due.setdefault(result.subject, []).append(result)
    for subject in checked.facts.subjects("valve"):
        row = lengths[subject]
        yield ValveRow(
            who=f"{subject.cylinder} {subject.valve}",
            required=_required(checked, subject) if subject not in failing else "",
            allowed=allowed_shown(row, system),
            fitted=show(row.ordered, "length", system) if row.ordered is not None and not blocked else "",
            difference=_difference(row, system) if not blocked else "",
            offset=_cell(checked, "mark_offset", subject, signed=True),
            width=_cell(checked, "mark_width", subject),
            edge_distance=_cell(checked, "mark_edge_margin", subject),
            height_error=_cell(checked, "height_error", subject, signed=True),
            setting=_cell(checked, "preload", subject) or _cell(checked, "lash", subject),
            verdict=_outcome(due.get(subject, [])) if is_measured(checked, subject) else "assumed, not measured",
        )


def is_measured(checked: CheckedBuild, subject: Subject) -> bool:
    """Whether a valve has a reading of its own."""
    value = checked.facts.get_or_none("valve_measured", subject)
    return value is not None and bool(value.si)


def _difference(row: LengthRow, system: str) -> str:
    """How much longer the ordered pushrod is than the required length, with its sign."""
    if row.ordered is None or row.required is None:
        return ""
    more = row.ordered - row.required[0]
    return f"{'+' if more > 0 else ''}{show(more, 'length', system)}"


def _outcome(due: Sequence[Result]) -> str:
    """What the results of a valve that are due come to."""
    failed = sorted({result.rule for result in due if result.kind == "fail" and result.concession is None})
    conceded = sorted({result.rule for result in due if result.concession is not None})
    undecided = sorted({result.rule for result in due if result.kind == "open" and result.concession is None})
    text = f"fails {', '.join(failed)}" if failed else f"undecided: {', '.join(undecided)}" if undecided else "passes"
    return text + (f"; conceded: {', '.join(conceded)}" if conceded else "")


def _required(checked: CheckedBuild, subject: Subject) -> str:
    value = checked.facts.get_or_none("length_asked", subject)
    return value_text(value, checked.facts.system) if value is not None else _cell(checked, "length_asked", subject)


def _cell(checked: CheckedBuild, name: str, subject: Subject, signed: bool = False) -> str:
    try:
        value = checked.facts.get(name, subject)
    except NotApplicable:
        return ""
    except Undecided:
        return "?"
    text = show(value.si, value.kind, checked.facts.system)
    if not value.sign_known:
        return f"±{text}"
    return f"+{text}" if signed and value.si > 0 and text.strip("0. inm") else text
