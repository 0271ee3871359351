"""A comparison for scripts: one JSON object in a stable order."""

from __future__ import annotations

from typing import Any

from buildcheck.output.compare.changed_inputs import Input
from buildcheck.output.compare.changed_quantities import Moved
from buildcheck.output.compare.comparison import Change, Comparison
from buildcheck.output.compare.verdict_changes import Flip
from buildcheck.output.json import dumped, place_told, problem_told, subject_told


def write(comparison: Comparison) -> str:
    """The whole comparison; texts of a side that has no such value are null."""
    data = {
        "before": comparison.before.label,
        "after": comparison.after.label,
        "builds": [_change(change) for change in comparison.changes],
        "unchanged": comparison.unchanged,
        "team": [_input(one) for one in comparison.team],
        "rules": list(comparison.rules),
        "errors": [problem_told(one) for one in comparison.problems],
    }
    return dumped(data)


def _change(change: Change) -> dict[str, Any]:
    before, after = change.verdicts
    return {
        "folder": change.folder,
        "folder_before": change.folder_before or None,
        "name": change.name,
        "verdict": {"before": before or None, "after": after or None},
        "blocks_anew": change.blocks_anew,
        "inputs": [_input(one) for one in change.inputs],
        "verdicts": [_flip(one) for one in change.flips],
        "quantities": [_moved(one) for one in change.moved.beyond],
        "moved_within_uncertainty": change.moved.within,
        "order": {"before": list(change.order_before), "after": list(change.order_after)},
        "errors": [problem_told(one) for one in (change.after.problems if change.after is not None else ())],
    }


def _input(one: Input) -> dict[str, Any]:
    told = {"path": one.path, "before": one.before or None, "after": one.after or None, "same_value": one.same}
    return {**told, "limit": one.is_limit, "note": one.remark, **place_told(one.place)}


def _flip(one: Flip) -> dict[str, Any]:
    return {
        "rule": one.rule,
        "subjects": [subject_told(subject) for subject in one.subjects],
        "before": one.before,
        "after": one.after,
        "because_of": list(one.causes),
        "blocks_anew": one.blocks_anew,
        "message": one.message,
        **place_told(one.place),
    }


def _moved(one: Moved) -> dict[str, Any]:
    subjects = [subject_told(subject) for subject in one.subjects]
    return {"name": one.name, "subjects": subjects, "before": one.before or None, "after": one.after or None}
