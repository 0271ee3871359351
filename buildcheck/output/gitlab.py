"""GitLab's code quality report: a JSON array with a fingerprint of its own for every finding."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from buildcheck.app.build_check import CheckedBuild
from buildcheck.app.rule_context import RuleContext
from buildcheck.core.problem import Problem
from buildcheck.output.annotation import Annotation, findings_for, input_annotations
from buildcheck.output.json import dumped

_SEVERITIES = {"error": "blocker", "warning": "major", "note": "info"}
_RANK = tuple(_SEVERITIES.values())


def render_build(context: RuleContext, checked: CheckedBuild) -> list[dict[str, Any]]:
    """What blocks, warnings and loosened limits of a build, for each subject."""
    return [_issue(one) for one in findings_for(context, checked) if one.concerns_ci]


def render_document(
    context: RuleContext, problems: Sequence[Problem], parts: Iterable[list[dict[str, Any]]]
) -> Iterator[str]:
    """One list of all, what blocks first."""
    found = [_issue(one) for one in input_annotations(context, problems)]
    found += (issue for issues in parts for issue in issues)
    yield dumped(sorted(found, key=lambda issue: _RANK.index(issue["severity"])))


def _issue(one: Annotation) -> dict[str, Any]:
    place = one.places[0]
    return {
        "description": one.message,
        "check_name": one.rule,
        "fingerprint": one.fingerprint,
        "severity": _SEVERITIES[one.level],
        "location": {"path": place.file, "lines": {"begin": place.line}},
    }
