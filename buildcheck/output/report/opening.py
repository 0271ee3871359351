"""The report's opening: what to do now, in one line."""

from __future__ import annotations

from collections.abc import Sequence

from buildcheck.app.build_check import CheckedBuild
from buildcheck.output.cause_groups import CauseGroup, group_text, help_text
from buildcheck.output.wording import line_text

_NEXT = {
    "planning": "measure the valves in the order of 'buildcheck plan'.",
    "measuring": "take the readings that 'buildcheck advise' lists, then set the stage to ordering.",
    "assembled": "finish what stage closed requires, below.",
    "closed": "nothing is left to do in this build.",
}


def what_now(checked: CheckedBuild, blocking: Sequence[CauseGroup]) -> str:
    """The first thing to do: the correction of the first cause that blocks, or the next step of the stage."""
    if checked.problems:
        return "correct the errors below. No check counts until then."
    if blocking:
        lead = blocking[0]
        return help_text(checked, lead) or group_text(checked, lead)
    lines = [line_text(line, checked.facts.system) for line in checked.order.lines]
    if checked.options.stage == "ordering" and lines:
        return f"order {'; '.join(lines)}, after the supplier confirms the points below."
    return _NEXT.get(checked.options.stage, "enter what is missing, below.")
