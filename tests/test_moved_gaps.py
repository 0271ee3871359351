"""A gap curve that moved between two states is shown as two numbers and a picture in plain text."""

from __future__ import annotations

from pathlib import Path

from rewritten import as_it_is
from test_motion import checked, engine, motion

from buildcheck.output.compare.moved_gaps import moved_gaps

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
