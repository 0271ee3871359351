"""A curve of gap or lift that moved between two states is shown as two numbers and a picture in plain text."""

from __future__ import annotations

from pathlib import Path

import pytest
from history import commit, git
from motion_engines import INCH
from rewritten import as_it_is, copied
from test_motion import checked, engine, motion

from buildcheck.cli.main import main
from buildcheck.output.compare.moved_gaps import moved_gaps
from buildcheck.output.compare.moved_lifts import moved_lifts

NUMBERS = "full valve lift 0.4480 in → 0.4480 in; lobe centreline 107.0 deg → 101.0 deg"
SIX = "tests/builds/inline_six_closed"


def test_a_smaller_drop_shows_both_least_gaps_and_both_curves(tmp_path: Path) -> None:
    before = checked(tmp_path / "a", motion(engine()))
    again = checked(tmp_path / "b", motion(engine(), drops=(5,)))
    assert list(moved_gaps(before, again)) == []
    nearer = checked(tmp_path / "c", motion(engine()).replace("drop: 0.12", "drop: 0.09"))
    [found] = moved_gaps(before, nearer)
    assert found.text.startswith("cylinder 1 intake: least piston gap 0.1")
    assert found.text.count("after TDC") == 2
    was, now, scale = found.drawing().splitlines()
    assert len(was) == len(now)
    assert was != now
    assert "0: contact" in scale


def test_an_unchanged_engine_shows_nothing() -> None:
    one = as_it_is(SIX)
    assert list(moved_gaps(one, one)) == []


def test_a_cam_that_moved_shows_full_lift_centreline_and_both_curves(tmp_path: Path) -> None:
    before = checked(tmp_path / "a", motion(engine()))
    after = checked(tmp_path / "b", motion(engine(nose=101.0)))
    [found] = moved_lifts(before, after)
    assert found.text == f"cylinder 1 intake: {NUMBERS}"
    was, now, scale = found.drawing().splitlines()
    columns = [[int(digit) for digit in row[8:-1]] for row in (was, now)]
    assert len(columns[0]) == len(columns[1]) == 31
    assert sum(columns[0][10:22]) < sum(columns[1][10:22])
    assert all(one <= other for one, other in zip(columns[0][:18], columns[1][:18], strict=True))
    assert scale == "-40 to 145 deg after overlap TDC; 9: 0.4480 in"


def test_another_rocker_shows_two_full_lifts(tmp_path: Path) -> None:
    before = checked(tmp_path / "a", motion(engine()))
    after = checked(tmp_path / "b", motion(engine(lift=0.430 * INCH)))
    [found] = moved_lifts(before, after)
    assert found.text.startswith("cylinder 1 intake: full valve lift 0.4480 in → 0.4300 in; ")
    assert list(moved_lifts(before, before)) == []


def test_the_comment_of_a_pull_request_draws_both(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    build = copied(tmp_path, SIX)
    git(tmp_path, "init", "--quiet", "--initial-branch=main")
    for tag, nose in (("before", 107.0), ("after", 101.0)):
        (build / "motion.yaml").write_text(motion(engine(nose=nose)), encoding="utf-8")
        commit(tmp_path, tag)
    monkeypatch.chdir(tmp_path)
    main(["compare", "before", "after", "--format", "markdown"])
    shown = capsys.readouterr().out
    assert f"{NUMBERS}:" in shown
    main(["compare", "before", "after", "--format", "text"])
    lines = capsys.readouterr().out.partition("  curves that moved\n")[2].splitlines()
    assert lines[0] == f"    cylinder 1 intake: {NUMBERS}:"
    assert [line.split("0")[0] for line in lines[1:3]] == ["      before |", "      after  |"]
    assert "9: 0.4480 in" in shown
