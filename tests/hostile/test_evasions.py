"""Attempts to pass a mark at the edge of the valve tip, and how each ends."""

from __future__ import annotations

from pathlib import Path

import pytest
from evasions import EVASIONS, RED, Evasion
from rewritten import rewritten

from buildcheck.app.build_check import CheckedBuild
from buildcheck.output.finding_wording import sentence

CODES = {"refused": 2, "blocks": 1, "named": 0}


def _findings(checked: CheckedBuild) -> str:
    found = [f"{sentence(checked, one)} [{one.rule}]" for one in checked.results if one.is_finding]
    return " ".join([*(problem.message for problem in checked.problems), *found])


def test_the_mark_at_the_edge_blocks_without_any_attempt(tmp_path: Path) -> None:
    checked = rewritten(tmp_path, "example_build", RED)
    assert checked.exit_code == 1
    assert "[mark-on-tip]" in _findings(checked)


@pytest.mark.parametrize("evasion", EVASIONS, ids=[evasion.name for evasion in EVASIONS])
def test_an_attempt_ends_as_listed(tmp_path: Path, evasion: Evasion) -> None:
    checked = rewritten(tmp_path, "example_build", RED, *evasion.edits)
    assert checked.exit_code == CODES[evasion.outcome]
    assert evasion.words in _findings(checked)


def test_every_attempt_is_answered_with_words() -> None:
    assert all(evasion.words for evasion in EVASIONS)
