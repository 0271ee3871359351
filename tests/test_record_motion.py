"""Lift and drop entered by ``record``: where they are written, what is answered, and what is refused."""

from __future__ import annotations

import io
import sys
from pathlib import Path

import pytest
from rewritten import copied

from buildcheck.build.new_reading import MOTION
from buildcheck.cli.main import main

Output = pytest.CaptureFixture[str]


@pytest.fixture
def whole(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return copied(tmp_path, "tests/builds/inline_six_closed")


@pytest.fixture
def build(whole: Path) -> Path:
    """Only the files that a lift is compared with: checked in a quarter of the time."""
    for name in ("as_built", "clearances", "heads", "marks", "pushrods", "stackup"):
        (whole / f"{name}.yaml").unlink()
    return whole


def enter(build: Path, *words: str, code: int = 0) -> None:
    assert main(["record", build.name, *words]) == code


def test_a_lift_goes_between_its_neighbours_and_nothing_else_changes(whole: Path, capsys: Output) -> None:
    before = (whole / MOTION).read_text()
    enter(whole, "1/intake", "--crank", "367 deg", "--lift", ".0440")
    line = "      - {crank: 370 deg, lift: 0.0555 in}\n"
    new = "      - {crank: 367 deg, lift: 0.0440 in}\n"
    assert (whole / MOTION).read_text() == before.replace(line, new + line, 1)
    shown = capsys.readouterr().out
    assert shown.startswith("build/motion.yaml:15: cylinder 1 intake, crank 367 deg, lift 0.0440 in: 31 readings. ")
    assert "Minimum piston gap over the curve 0.139" in shown
    assert "Measured lobe centreline 106.4 deg" in shown


def test_a_drop_joins_the_lift_at_its_crank_angle(build: Path) -> None:
    enter(build, "1/intake", "--crank", "380", "--drop", ".198")
    assert "- {crank: 380 deg, lift: 0.1000 in, drop: 0.198 in}" in (build / MOTION).read_text()


@pytest.mark.parametrize(("crank", "position"), [("320", 0), ("515", -1)])
def test_beyond_the_readings_it_goes_to_the_nearer_end(build: Path, crank: str, position: int) -> None:
    lift = "0" if crank == "320" else ".33"
    enter(build, "1/intake", "--crank", crank, "--lift", lift)
    own = (build / MOTION).read_text().split("- cylinder")[1].split("readings:\n")[1].rstrip().splitlines()
    assert f"crank: {crank} deg" in own[position]


def test_a_first_reading_makes_the_file_and_says_what_is_still_needed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Output
) -> None:
    monkeypatch.chdir(tmp_path)
    build = copied(tmp_path, "example_build")
    enter(build, "1/intake", "--crank", "470", "--lift", ".3605", "--lash", ".010", "--at", "valve")
    assert (build / MOTION).read_text() == (
        "valves:\n  - cylinder: 1\n    valve: intake\n    at: valve\n    lash: 0.010 in\n    readings:\n"
        "      - {crank: 470 deg, lift: 0.3605 in}\n"
    )
    assert "is not known yet: the readings do not pass the nose: read on" in capsys.readouterr().out


REFUSED = [
    (("--crank", "110 deg", "--lift", ".3605"), "is closed at crank 110 deg; did you mean 470 deg?"),
    (("--crank", "385", "--lift", "1.3"), "more than lobe lift times rocker ratio, 0.4480 in; did you mean 0.13 in?"),
    (("--crank", "460", "--at", "lifter", "--lift", ".4"), "0.4 in is more than lobe lift, 0.2800 in"),
    (("--crank", "380", "--drop", "1.9"), "deeper than the piston can be at crank 380 deg; did you mean 0.19 in?"),
    (("--crank", "380", "--lift", ".1"), "has a lift at crank 380 deg already, 0.1000 in"),
    (("--crank", "385", "--lift", ".3"), "lift 0.1565 in at 390 deg falls on the way up"),
    (("--crank", "385", "--lift", ".13", "--lash", ".01"), "were taken with a lash of 0 in: read all with one lash"),
    (("--crank", "440", "--at", "lifter", "--drop", ".1"), "a drop is read at the valve"),
    (("--crank", "385", "--lift", "x"), "--lift: 'x' does not begin with a number"),
    (("--lift", ".1"), "enter the crank angle of the reading"),
    (("--crank", "385", "--lift", ".13", "--turns", "9"), "enter one reading: a trial"),
    (("--crank", "385", "--lift", ".13", "--by", "MK"), "--by belongs to a trial"),
    (("--turns", "9", "--at", "valve"), "--at belongs to --lift or --drop"),
    (("--crank", "800", "--lift", "0"), "800 deg is implausible for crank angle"),
]


@pytest.mark.parametrize(("words", "reason"), REFUSED)
def test_what_cannot_be_meant_is_refused(build: Path, capsys: Output, words: tuple[str, ...], reason: str) -> None:
    before = (build / MOTION).read_bytes()
    enter(build, "1/intake", *words, code=2)
    shown = capsys.readouterr()
    assert reason in shown.out + shown.err
    assert (build / MOTION).read_bytes() == before


def test_a_dry_run_shows_the_new_line_and_writes_nothing(build: Path, capsys: Output) -> None:
    before = (build / MOTION).read_bytes()
    enter(build, "1/intake", "--crank", "367", "--lift", ".044", "--dry-run")
    assert "+      - {crank: 367 deg, lift: 0.044 in}" in capsys.readouterr().out.splitlines()
    assert (build / MOTION).read_bytes() == before


def test_a_reading_of_another_state_is_an_entry_of_its_own(whole: Path) -> None:
    arm = whole / "rockers.yaml"
    enter(whole, "1/intake", "--correct", "rockers.valve_arm", "--state", "first", "--crank", "367", "--lift", ".044")
    arm.write_text(arm.read_text().replace("valve_arm: 1.550 in", "valve_arm: 1.600 in"))
    enter(whole, "1/intake", "--state", "other rockers", "--crank", "367", "--lift", ".046")
    text = (whole / MOTION).read_text()
    assert text.endswith(
        "  - cylinder: 1\n    valve: intake\n    at: valve\n    state: other rockers\n    readings:\n"
        "      - {crank: 367 deg, lift: 0.046 in}\n"
    )
    assert text.count("state: first") == 4


HEAD = "cylinder;valve;at;crank;lift;drop;turns\n"


def table(build: Path, *rows: str) -> None:
    (build.parent / "t.csv").write_text(HEAD + "".join(f"{row}\n" for row in rows))


def test_a_table_of_lifts_and_drops(build: Path, capsys: Output) -> None:
    table(build, "1;intake;;367;.044;;", "1;intake;;380;;.198;", "2;exhaust;lifter;100;0;;")
    enter(build, "--from", "t.csv")
    assert capsys.readouterr().out.startswith("build/motion.yaml: 3 readings of 2 valves entered. ")
    text = (build / MOTION).read_text()
    assert all(f"crank: {each}}}" in text for each in ("367 deg, lift: 0.044 in", "100 deg, lift: 0 in"))
    assert "crank: 380 deg, lift: 0.1000 in, drop: 0.198 in" in text


def test_every_bad_row_of_a_table_is_shown_and_nothing_is_written(build: Path, capsys: Output) -> None:
    before = (build / MOTION).read_bytes()
    table(build, "1;intake;;380;.22;;", "1;intake;;382;.1099;3.1;", "2;intake;valv;100;0;x;", "1;intake;;;.1;;9")
    enter(build, "--from", "t.csv", code=2)
    shown = capsys.readouterr().out.replace("t.csv: error: ", "").splitlines()
    assert shown == [
        "row 2, column lift: motion.yaml has it at crank 380 deg already: 0.1000 in",
        "row 3, column drop: 3.1 in is deeper than the piston can be at crank 382 deg; did you mean 0.31 in?",
        "row 4, column at: 'valv' is none of valve, lifter",
        "row 4, column drop: 'x' does not begin with a number: write it like 7.412 or 5/16",
        "row 5, column crank: is empty",
        "row 5, column turns: belongs to a trial: enter lift and drop in a row of their own",
    ]
    assert (build / MOTION).read_bytes() == before


def test_rows_of_a_table_that_contradict_each_other_are_refused(build: Path, capsys: Output) -> None:
    table(build, "1;intake;;367;.044;;", "1;intake;;367;.045;;")
    enter(build, "--from", "t.csv", code=2)
    assert "row 3: an earlier row has a lift at crank 367 deg already, 0.044 in" in capsys.readouterr().out
    table(build, "1;intake;;382;.33;;")
    enter(build, "--from", "t.csv", code=2)
    assert "cylinder 1 intake: lift 0.1565 in at 390 deg falls on the way up" in capsys.readouterr().err


SKIPPED = ("s",) * 4
"""The four valves of the demo that have no trial yet."""


def walk(build: Path, monkeypatch: pytest.MonkeyPatch, *typed: str) -> int:
    monkeypatch.setattr(sys, "stdin", io.StringIO("".join(f"{line}\n" for line in (*SKIPPED, *typed))))
    return main(["record", str(build)])


def written(demo: Path, lifts: list[str]) -> None:
    """Lifts of the first valve, every 5 degrees."""
    rows = [f"      - {{crank: {330 + 5 * at} deg, lift: {lift} in}}\n" for at, lift in enumerate(lifts)]
    entry = "valves:\n  - cylinder: 1\n    valve: intake\n    at: valve\n    readings:\n"
    (demo / MOTION).write_text(entry + "".join(rows))


@pytest.fixture
def demo(tmp_path: Path) -> Path:
    """The demo with nothing read, without the files that no question of the walk needs."""
    build = copied(tmp_path, "example_build", (MOTION, "", "# nothing read yet\n"))
    for name in ("as_built", "clearances", "pushrods", "stackup"):
        (build / f"{name}.yaml").unlink(missing_ok=True)
    return build


def test_the_walk_goes_on_to_lift_and_drop_in_lines_of_40_columns(
    demo: Path, monkeypatch: pytest.MonkeyPatch, capsys: Output
) -> None:
    written(demo, ["0", "0", "0", ".003", ".012", ".02", ".0301", ".04"])
    assert walk(demo, monkeypatch, "1.31", "n", "?", ".0611", "b", "x", "1.9", "y", "n", "s", "q") == 0
    shown = capsys.readouterr().out
    assert shown.isascii()
    assert [line for line in shown.splitlines() if len(line.removeprefix("> ")) > 40] == []
    words = " ".join(shown.split())
    assert "Crank at 370 deg (degree wheel at 10 deg of the second turn) Lift in inches (n: none)" in words
    assert "Nothing is written: 1.31 in is more than lobe lift times rocker ratio" in words
    assert "Stop at the first resistance" in words
    assert "Cylinder 1 exhaust: lift and drop" in words
    text = (demo / MOTION).read_text()
    assert text.endswith("      - {crank: 370 deg, lift: 0.0611 in, drop: 0.19 in}\n")
    assert text.count("crank:") == 9


def test_the_walk_goes_on_where_it_was_left(demo: Path, monkeypatch: pytest.MonkeyPatch, capsys: Output) -> None:
    assert walk(demo, monkeypatch, "0", "0", "q") == 0
    assert walk(demo, monkeypatch, "0.001", "q") == 0
    text = (demo / MOTION).read_text()
    assert text.startswith("# nothing read yet\nvalves:\n  - cylinder: 1\n    valve: intake\n    at: valve\n")
    assert text.endswith("- {crank: 340 deg, lift: 0.001 in}\n")
    capsys.readouterr()
    assert walk(demo, monkeypatch) == 2
    assert "the input ended before the question was answered" in capsys.readouterr().err


def test_the_walk_comes_back_for_a_drop_that_was_left_out(
    demo: Path, monkeypatch: pytest.MonkeyPatch, capsys: Output
) -> None:
    written(demo, [f"{0.02 + n / 100:.2f}" for n in range(13)])
    assert walk(demo, monkeypatch, ".15", "q") == 0
    assert "- {crank: 370 deg, lift: 0.10 in, drop: 0.15 in}" in (demo / MOTION).read_text()
    assert "Crank at 370 deg" in capsys.readouterr().out


def test_without_the_file_the_walk_asks_for_no_motion(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Output
) -> None:
    assert walk(copied(tmp_path, "example_build"), monkeypatch) == 0
    assert "lift and drop" not in capsys.readouterr().out
