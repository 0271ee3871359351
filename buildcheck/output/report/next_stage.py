"""What the next stage will ask of a build that it does not give yet."""

from __future__ import annotations

from buildcheck.app.build_check import CheckedBuild
from buildcheck.build.build_folder import STAGES
from buildcheck.rules.results import Result


def next_stage(checked: CheckedBuild) -> str:
    """The stage after the one that is judged, empty after the last."""
    later = STAGES[STAGES.index(checked.options.stage) + 1 :]
    return later[0] if later else ""


def blocks_later(checked: CheckedBuild) -> list[Result]:
    """Results that do not block yet and would at the next stage."""
    stage = next_stage(checked)
    return [result for result in checked.results if result.due == stage and _blocks_at(checked, result)]


def _blocks_at(checked: CheckedBuild, result: Result) -> bool:
    rule = checked.rules[result.rule]
    counts = result.kind == "fail" or (result.kind == "open" and rule.open_blocks)
    return rule.level == "error" and counts and result.concession is None and not result.blocks
