"""GitLab's code quality report: a JSON array with a fingerprint of its own for every finding."""

from __future__ import annotations

from typing import Any

from buildcheck.escape import one_line
from buildcheck.formats.json import dumped
from buildcheck.formats.told import Told, told
from buildcheck.run import Run

_SEVERITIES = {"error": "blocker", "warning": "major", "note": "info"}


def write(run: Run) -> str:
    """Every finding for each subject; what was conceded is left out."""
    return dumped([_issue(one) for one in told(run) if not one.accepted])


def _issue(one: Told) -> dict[str, Any]:
    place = one.places[0]
    return {
        "description": one.message,
        "check_name": one.rule,
        "fingerprint": one.fingerprint,
        "severity": _SEVERITIES[one.level],
        "location": {"path": one_line(place.file), "lines": {"begin": place.line}},
    }
