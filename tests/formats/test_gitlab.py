"""GitLab's code quality report, with the fields that its documentation requires."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator
from repositories import findings_for, one, written

from buildcheck.app.run import Run
from buildcheck.output import gitlab

write = written(gitlab)

TEXT = {"type": "string", "minLength": 1}
LINES = {"type": "object", "required": ["begin"], "properties": {"begin": {"type": "integer", "minimum": 1}}}
LOCATION = {"type": "object", "required": ["path", "lines"], "properties": {"path": TEXT, "lines": LINES}}
DOCUMENTED = {
    "type": "array",
    "items": {
        "type": "object",
        "required": ["description", "check_name", "fingerprint", "severity", "location"],
        "properties": {
            "description": TEXT,
            "check_name": TEXT,
            "fingerprint": TEXT,
            "severity": {"enum": ["info", "minor", "major", "critical", "blocker"]},
            "location": LOCATION,
        },
    },
}


def issues(run: Run) -> list[Any]:
    return list(json.loads(write(run)))


@pytest.mark.parametrize("name", ["done", "shipped"])
def test_it_has_the_documented_fields(name: str, request: pytest.FixtureRequest) -> None:
    found = issues(request.getfixturevalue(name))
    assert bool(found) == (name == "done")
    Draft202012Validator(DOCUMENTED).validate(found)


def test_no_two_share_a_fingerprint(done: Run) -> None:
    prints = [issue["fingerprint"] for issue in issues(done)]
    assert len(prints) == len(set(prints)) == sum(finding.concerns_ci for finding in findings_for(done))


def test_what_is_not_due_stays_out_and_what_blocks_comes_first(done: Run) -> None:
    severities = [issue["severity"] for issue in issues(done)]
    assert severities == sorted(severities, key=["blocker", "major", "info"].index)
    assert not [issue for issue in issues(done) if "from stage '" in issue["description"]]


def test_paths_are_files_of_the_repository(done: Run, repository: Path) -> None:
    assert all((repository / issue["location"]["path"]).is_file() for issue in issues(done))


def test_what_blocks_is_a_blocker(done: Run, shipped: Run) -> None:
    blockers = sum(issue["severity"] == "blocker" for issue in issues(done))
    assert blockers == sum(finding.level == "error" for finding in findings_for(done)) > 0
    assert "blocker" not in {issue["severity"] for issue in issues(shipped)}


def test_what_was_conceded_is_left_out(repository: Path) -> None:
    red, leave = (issues(one(repository / "engines" / name)) for name in ("red", "leave"))
    assert "mark-centred" in {issue["check_name"] for issue in red}
    assert "mark-centred" not in {issue["check_name"] for issue in leave}
