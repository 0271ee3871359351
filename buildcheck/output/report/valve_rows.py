"""The report's rows of valves: its required length, what its mark says, and whether it passes."""

from __future__ import annotations

from collections.abc import Iterator

from buildcheck.app.build_check import CheckedBuild
from buildcheck.core.subject import Subject
from buildcheck.core.value import NotApplicable, Undecided
from buildcheck.output.report.length_chart import LengthRow
from buildcheck.output.report.length_rows import allowed_shown, length_rows
from buildcheck.output.value_wording import value_text
from buildcheck.units.quantity import show


def valve_rows(checked: CheckedBuild) -> Iterator[dict[str, str]]:
    """One row a valve; a cell is empty where it does not apply, ``?`` if it is unknown.

    While something blocks, no row shows a pushrod, and no length is shown of a valve that blocks.
    """
    lengths, system = length_rows(checked), checked.facts.system
    blocked, failing = checked.exit_code != 0, {one.subject for one in checked.results if one.blocks}
    for subject in checked.facts.subjects("valve"):
        row = lengths[subject]
        yield {
            "who": f"{subject.cylinder} {subject.valve}",
            "asked": _required(checked, subject) if subject not in failing else "",
            "allowed": allowed_shown(row, system),
            "fitted": show(row.ordered, "length", system) if row.ordered is not None and not blocked else "",
            "difference": _difference(row, system) if not blocked else "",
            "offset": _cell(checked, "mark_offset", subject, signed=True),
            "width": _cell(checked, "mark_width", subject),
            "margin": _cell(checked, "mark_edge_margin", subject),
            "height": _cell(checked, "height_error", subject, signed=True),
            "set": _cell(checked, "preload", subject) or _cell(checked, "lash", subject),
            "verdict": _verdict(checked, subject) if measured(checked, subject) else "assumed, not measured",
        }


def measured(checked: CheckedBuild, subject: Subject) -> bool:
    """Whether a valve has a reading of its own."""
    value = checked.facts.get_or_none("valve_measured", subject)
    return value is not None and bool(value.si)


def _difference(row: LengthRow, system: str) -> str:
    """How much longer the ordered pushrod is than the required length, with its sign."""
    if row.ordered is None or row.required is None:
        return ""
    more = row.ordered - row.required[0]
    return f"{'+' if more > 0 else ''}{show(more, 'length', system)}"


def _verdict(checked: CheckedBuild, subject: Subject) -> str:
    own = [r for r in checked.results if r.subject == subject and r.due_now]
    bad = sorted({r.rule for r in own if r.kind == "fail" and r.concession is None})
    conceded = sorted({r.rule for r in own if r.concession is not None})
    undecided = sorted({r.rule for r in own if r.kind == "open" and r.concession is None})
    verdict = f"fails {', '.join(bad)}" if bad else f"undecided: {', '.join(undecided)}" if undecided else "passes"
    return verdict + (f"; conceded: {', '.join(conceded)}" if conceded else "")


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
