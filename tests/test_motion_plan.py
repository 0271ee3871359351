"""The measuring plan gives the crank angles for lift and drop, for the valves that motion.yaml still lacks."""

from __future__ import annotations

from pathlib import Path

import pytest
from rewritten import ROOT, copied

from buildcheck.cli.main import main

EMPTY = ("motion.yaml", "", "# nothing read yet\n")


@pytest.mark.parametrize("format_", ["text", "markdown"])
def test_a_build_with_an_empty_motion_file_shows_where_to_read(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], format_: str
) -> None:
    build = copied(tmp_path, "example_build", EMPTY)
    assert main(["plan", str(build), "--format", format_]) == 0
    found = [line for line in capsys.readouterr().out.splitlines() if "for motion.yaml" in line]
    assert len(found) == 2
    assert "cylinder 1 intake" in found[0]
    assert "330 deg to 390 deg" in found[0]
    assert "one drop at 370 deg" in found[0]
    assert "one drop at 350 deg" in found[1]


@pytest.mark.parametrize("folder", ["example_build", "tests/builds/inline_six_closed"])
def test_without_the_file_or_with_its_readings_the_plan_is_as_before(
    folder: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["plan", str(ROOT / folder), "--format", "text"]) == 0
    assert "motion.yaml" not in capsys.readouterr().out
