"""What the report says of the next stage: what would block there and does not yet."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from buildcheck.app.run import run
from buildcheck.output.report.next_stage import blocks_later, next_stage
from buildcheck.output.report.render import render

ROOT = Path(__file__).parent.parent


@pytest.mark.parametrize(("stage", "following"), [("planning", "measuring"), ("ordering", "assembled"), ("closed", "")])
def test_the_stage_that_follows(stage: str, following: str) -> None:
    assert next_stage(run([ROOT / "example_build"], stage).builds[0]) == following


@pytest.mark.parametrize("stage", ["measuring", "ordering", "assembled"])
def test_what_is_listed_is_what_blocks_again_at_the_next_stage(stage: str) -> None:
    now = run([ROOT / "example_build"], stage).builds[0]
    then = run([ROOT / "example_build"], next_stage(now)).builds[0]
    anew = {(r.rule, r.subject) for r in then.results if r.blocks} - {
        (r.rule, r.subject) for r in now.results if r.blocks
    }
    assert {(r.rule, r.subject) for r in blocks_later(now)} == anew


def test_the_report_lists_it(tmp_path: Path) -> None:
    shutil.copytree(ROOT / "example_build", tmp_path / "engine")
    done = run([tmp_path / "engine"])
    report = render(done.builds[0])
    section = report.partition("<summary>What stage assembled also requires")[2].partition("</details>")[0]
    assert (
        "| every-valve-measured | intake 4, 5; exhaust 2, 4 | not measured, length assumed from the other valves |"
        in section
    )
