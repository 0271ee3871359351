"""Attempts to commit a mark at the edge with means of git and of an acceptance, on a real repository."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent.parent))

from evasions import RED
from garage import EIDER, Garage

from buildcheck.app.acceptance import own_digests
from buildcheck.build.acceptance_record import AcceptanceRecord, record_text
from buildcheck.build.build_folder import read_build

MARKS, ACCEPTED = f"{EIDER}/marks.yaml", f"{EIDER}/accepted.yaml"


@pytest.fixture
def red(garage: Garage) -> Garage:
    """The repository with a mark at the edge of the tip, not staged yet."""
    garage.replace(MARKS, *RED[1:])
    return garage


def forge_acceptance(garage: Garage) -> None:
    """An acceptance as if every rule had come later, its seal computed by hand."""
    build = read_build(garage.root / EIDER, EIDER)
    record = AcceptanceRecord("2026-01-01", "ordering", "0.1.0", own_digests(build), {}, {})
    garage.write(ACCEPTED, record_text(record))


def test_a_staged_file_that_git_is_to_replace_by_a_good_one(red: Garage) -> None:
    good = red.git("rev-parse", f"HEAD:{MARKS}").strip()
    red.git("add", MARKS)
    red.git("replace", red.git("rev-parse", f":{MARKS}").strip(), good)
    red.replace(MARKS, *reversed(RED[1:]))
    result = red.buildcheck("check", "--touched")
    assert result.code == 1
    assert "mark-on-tip" in result.output


def test_an_acceptance_made_by_hand_does_not_count_in_the_commit_that_brings_it(red: Garage) -> None:
    forge_acceptance(red)
    red.git("add", "--all")
    result = red.buildcheck("check", "--touched")
    assert result.code == 1
    assert "accepted.yaml is new in this change: it counts from the next one on" in result.output
    red.git("commit", "-qm", "forged", "--no-verify")
    assert red.buildcheck("check", "--since", "HEAD~1").code == 1


def test_an_acceptance_made_by_hand_is_named_wherever_it_counts(red: Garage) -> None:
    forge_acceptance(red)
    red.git("add", "--all")
    red.git("commit", "-qm", "forged", "--no-verify")
    result = red.buildcheck("check", "--tracked", EIDER)
    assert "would block it today, after changes outside its folder" in result.output
    assert "warning: cylinder 1 intake: distance from the mark to the valve tip edge" in result.output
    strict = red.buildcheck("compare", "HEAD~1", "--strict")
    assert (strict.code, "does not block only because of: an earlier acceptance" in strict.output) == (1, True)


def test_an_honest_acceptance_passes_the_hook_and_counts_from_then_on(garage: Garage) -> None:
    assert garage.buildcheck("report", "--accept", EIDER).code == 0
    assert garage.commit().code == 0
    result = garage.buildcheck("check", "--tracked", EIDER)
    assert result.code == 0
    assert "Accepted on" in result.output
