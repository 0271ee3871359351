"""The report's opening: verdict, what to do now, and counts that add up."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from buildcheck.app.build_check import CheckedBuild
from buildcheck.core.plural import counted, verb
from buildcheck.output.cause_groups import CauseGroup, group_text, help_text
from buildcheck.output.finding_wording import in_sentence
from buildcheck.output.report.valve_rows import is_measured
from buildcheck.output.wording import acceptance_text, line_text, subjects_text, verdict_text
from buildcheck.record import Record

_ALERTS = {"fail": "CAUTION", "open": "WARNING", "pass": "NOTE"}
_COUNTED = {"pass": "passed", "fail": "failed", "open": "undecided", "conceded": "conceded"}
_NEXT = {
    "planning": "measure the valves in the order of 'buildcheck plan'.",
    "measuring": "take the readings that 'buildcheck advise' lists, then set the stage to ordering.",
    "assembled": "finish what stage closed requires, below.",
    "closed": "nothing is left to do in this build.",
}


class Opening(Record):
    """The first lines of a report."""

    name: str
    alert: str
    verdict: str
    stage: str
    now: str
    overview: tuple[str, ...]
    accepted: str
    purpose: str


def opening(checked: CheckedBuild, blocking: Sequence[CauseGroup], loosened: int) -> Opening:
    """The opening of one build's report; ``loosened``: how many limits are."""
    return Opening(
        name=checked.build.name,
        alert=_ALERTS[checked.verdict],
        verdict=verdict_text(checked),
        stage=checked.options.stage,
        now=_what_now(checked, blocking),
        overview=tuple(_overview(checked, loosened)),
        accepted=acceptance_text(checked),
        purpose=checked.facts.text("build.purpose") if checked.facts.node("build.purpose") else "",
    )


def _what_now(checked: CheckedBuild, blocking: Sequence[CauseGroup]) -> str:
    """The first thing to do: the correction of the first cause that blocks, or the next step of the stage."""
    if checked.problems:
        return "correct the errors below. No check counts until then."
    if blocking:
        lead = blocking[0]
        who, cure = subjects_text(lead.subjects), help_text(checked, lead)
        return (f"{who}: {in_sentence(cure)}" if who else cure) if cure else group_text(checked, lead)
    if checked.informing:
        return "the order is the one of the accepted report. To judge the build in full, delete `accepted.yaml`."
    lines = [line_text(line, checked.facts.system) for line in checked.order.lines]
    if checked.options.stage == "ordering" and lines:
        return f"order {'; '.join(lines)}, after the supplier confirms the points below."
    return _NEXT.get(checked.options.stage, "enter what is missing, below.")


def _overview(checked: CheckedBuild, loosened: int) -> Iterator[str]:
    """The counts for a reader with two minutes."""
    if checked.problems:
        return
    due = [result for result in checked.results if result.due_now]
    kinds = Counter("conceded" if result.concession is not None else result.kind for result in due)
    blocking = Counter(result.kind for result in due if result.blocks)
    counts = [_count(kinds, blocking, kind) for kind in _COUNTED if kinds[kind] or kind == "fail"]
    yield f"{counted(sum(kinds[kind] for kind in _COUNTED), 'check')} due: {', '.join(counts)}"
    valves = list(checked.facts.subjects("valve"))
    yield f"{sum(is_measured(checked, subject) for subject in valves)} of {len(valves)} valves measured"
    yield (f"{counted(loosened, 'limit')} loosened" if loosened else "no limit loosened by team or build")


def _count(kinds: Counter[str], blocking: Counter[str], kind: str) -> str:
    """``5 failed (2 block)``; of what failed or is undecided also that none blocks."""
    text = f"{kinds[kind]} {_COUNTED[kind]}"
    if kind not in ("fail", "open") or not kinds[kind]:
        return text
    number = blocking[kind]
    return f"{text} ({number or 'none'} {verb(number or 1, 'block')})"
