"""Where to set the checking pushrod before anything is measured; counted turns of a bolt are not exact."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest
from altered import SIX, as_it_is
from rewritten import ROOT, rewritten

from buildcheck.advice.first_setting import first_settings
from buildcheck.app.run import run
from buildcheck.cli.main import main
from buildcheck.core.subject import Subject

INCH = 0.0254


@pytest.fixture
def planned(tmp_path: Path) -> Path:
    """The demo before its first reading."""
    shutil.copytree(ROOT / SIX, tmp_path / "build")
    (tmp_path / "build" / "marks.yaml").unlink()
    return tmp_path / "build"


def test_the_plan_shows_the_first_setting(planned: Path, capsys: pytest.CaptureFixture[str]) -> None:
    main(["plan", str(planned), "--format", "text"])
    out = capsys.readouterr().out
    assert "intake: start checker at 9.5 turns (9.440 in" in out
    main(["plan", str(planned), "--format", "json"])
    first = json.loads(capsys.readouterr().out)["first_settings"]
    assert [one["valve"] for one in first] == ["intake", "exhaust"]
    assert 9.4 < first[0]["turns"] < 9.6


def test_it_is_where_zero_lash_was_found_in_the_end(planned: Path) -> None:
    """The first setting lies within a tenth of an inch of what was read at zero lash later."""
    first = first_settings(run([planned]).builds[0].facts)
    [intake] = [one for one in first if one.subject == Subject(None, "intake")]
    read = as_it_is(SIX).facts.get("length_asked", Subject(1, "intake")).si - 0.034 * INCH
    assert abs(intake.reading.si - read) / INCH < 0.1


def test_with_readings_there_is_no_first_setting() -> None:
    assert first_settings(as_it_is(SIX).facts) == []


def test_turns_of_a_bolt_have_the_usual_uncertainty(tmp_path: Path) -> None:
    eight = "tests/builds/vee_eight_mm"
    text = (ROOT / eight / "rockers.yaml").read_text(encoding="utf-8")
    assert "bolt_turns" not in text
    facts = rewritten(tmp_path, eight, ("rockers.yaml", "", "bolt_turns: 0.5\n")).facts
    found = facts.get("preload_by_bolt", Subject(None, "intake"))
    per_turn = found.si / 0.5
    assert found.expanded == pytest.approx(per_turn / 8, rel=0.05)
