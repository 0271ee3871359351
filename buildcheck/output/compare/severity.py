"""A result by what it means for the build, from the lightest to the gravest."""

from __future__ import annotations

from buildcheck.rules.results import Result

UNJUDGED = "not judged"
SEVERITY = ("passes", "not applicable", UNJUDGED, "conceded", "open", "fails, not blocking", "open, blocks", "fails")
NEUTRAL = SEVERITY[:3]
"""States that ask nothing of anybody."""


def state(result: Result | None) -> str:
    """One of ``GRAVITY``; not judged where there is no result."""
    if result is None:
        return UNJUDGED
    if result.concession is not None and not result.blocks:
        return "conceded"
    if result.kind == "fail":
        return "fails" if result.blocks else "fails, not blocking"
    if result.kind == "open":
        return "open, blocks" if result.blocks else "open"
    return {"pass": "passes", "notApplicable": "not applicable"}[result.kind]
