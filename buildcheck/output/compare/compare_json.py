"""A comparison for scripts: one JSON object in a stable order."""

from __future__ import annotations

from typing import Any

from buildcheck.build.changed_trials import ChangedTrial
from buildcheck.build.reading_history import ChangedPart
from buildcheck.output.compare.changed_inputs import InputChange
from buildcheck.output.compare.changed_quantities import QuantityChange
from buildcheck.output.compare.compare_wording import REASON_NAMES
from buildcheck.output.compare.comparison import BuildChange, Comparison
from buildcheck.output.compare.relaxations import LoosenedLimit, Relaxation
from buildcheck.output.compare.verdict_changes import VerdictChange
from buildcheck.output.json import document, problem_fields
from buildcheck.output.json_rows import place_fields, subject_fields


def write(comparison: Comparison) -> str:
    """The whole comparison; texts of a side that has no such value are null."""
    data = {
        "before": comparison.before.label,
        "after": comparison.after.label,
        "builds": [_change(change) for change in comparison.changes],
        "unchanged": comparison.unchanged,
        "team": [_input(one) for one in comparison.team],
        "rules": list(comparison.rules),
        "errors": [problem_fields(one) for one in comparison.problems],
    }
    return document("comparison", data)


def _change(change: BuildChange) -> dict[str, Any]:
    before, after = change.verdicts
    return {
        "folder": change.folder,
        "folder_before": change.folder_before or None,
        "name": change.name,
        "verdict": {"before": before or None, "after": after or None},
        "blocks_anew": change.newly_blocks,
        "inputs": [_input(one) for one in change.inputs],
        "verdicts": [_verdict_change(one) for one in change.verdict_changes],
        "quantities": [_quantity_change(one) for one in change.quantity_changes.significant],
        "moved_within_uncertainty": change.quantity_changes.insignificant,
        "passes_only_because": [_relaxation(one) for one in change.relaxations],
        "loosened": [_loosened(one) for one in change.loosened],
        "parts_changed_readings_not": [_part_change(one) for one in change.part_changes],
        "readings_assumed_to_apply": change.assumes_readings_apply,
        "trials": [_trial_change(one) for one in change.trial_changes],
        "order": {"before": list(change.order_before), "after": list(change.order_after)},
        "errors": [problem_fields(one) for one in (change.after.problems if change.after is not None else ())],
    }


def _trial_change(one: ChangedTrial) -> dict[str, Any]:
    return {"subject": subject_fields(one.subject), "trial": one.number, "change": one.what, **place_fields(one.place)}


def _input(one: InputChange) -> dict[str, Any]:
    fields = {"path": one.path, "before": one.before or None, "after": one.after or None, "same_value": one.same}
    return {**fields, "limit": one.is_limit, "note": one.remark, **place_fields(one.place)}


def _verdict_change(one: VerdictChange) -> dict[str, Any]:
    return {
        "rule": one.rule,
        "subjects": [subject_fields(subject) for subject in one.subjects],
        "before": one.before,
        "after": one.after,
        "because_of": list(one.causes),
        "blocks_anew": one.newly_blocks,
        "message": one.message,
        **place_fields(one.place),
    }


def _relaxation(one: Relaxation) -> dict[str, Any]:
    return {
        "rule": one.rule or None,
        "subjects": [subject_fields(subject) for subject in one.subjects],
        "passes": one.passes,
        "causes": [REASON_NAMES.get(cause, cause) for cause in one.causes],
        "terms": one.terms,
        "message": one.finding,
        **place_fields(one.place),
    }


def _loosened(one: LoosenedLimit) -> dict[str, Any]:
    return {"rule": one.rule, "side": one.side, "before": one.before, "after": one.after}


def _part_change(one: ChangedPart) -> dict[str, Any]:
    subjects = [subject_fields(subject) for subject in one.subjects]
    return {
        "part": one.title,
        "before": one.before,
        "after": one.after,
        "subjects": subjects,
        "clearances": list(one.clearances),
        "motion": [subject_fields(subject) for subject in one.motion],
        "corrected_in_state": one.corrected or None,
        **place_fields(one.place),
    }


def _quantity_change(one: QuantityChange) -> dict[str, Any]:
    subjects = [subject_fields(subject) for subject in one.subjects]
    return {"name": one.name, "subjects": subjects, "before": one.before or None, "after": one.after or None}
