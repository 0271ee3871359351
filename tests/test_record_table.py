"""A table of trials from a spreadsheet: entered whole or not at all, with every bad cell by its row and column."""

from __future__ import annotations

import argparse
import csv
import io
from pathlib import Path
from typing import Any

import pytest
from rewritten import ROOT, copied

from buildcheck.cli.commands import record
from buildcheck.cli.main import main
from buildcheck.cli.reading_names import OF_BOTH, OF_MOTION, OF_TRIAL
from buildcheck.yamlio.documents import plain, read

Output = pytest.CaptureFixture[str]
READINGS = plain(read((ROOT / "example_build/marks.yaml").read_bytes(), "").root)["valves"]
HEAD = ["cylinder", "valve", "crank", "length", "turns", "mark_from", "mark_to", "shut_at", "open_at", "note"]


def demo_rows() -> list[list[Any]]:
    """The demo's readings as a builder types them into a spreadsheet: the unit is left out."""
    rows = []
    for entry in READINGS:
        for trial in entry["trials"]:
            mark = {f"mark_{key}": text for key, text in trial["mark"].items()}
            cells = {**entry, "note": "", **trial, **mark}
            rows.append([str(cells.get(name, "")).removesuffix(" in").removesuffix(" deg") for name in HEAD])
    return rows


def table(to: Path, *rows: list[Any], delimiter: str = ",") -> Path:
    text = io.StringIO()
    csv.writer(text, delimiter=delimiter).writerows(rows)
    path = to / "readings.csv"
    path.write_text(text.getvalue(), encoding="utf-8-sig", newline="")
    return path


@pytest.fixture
def build(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    build = copied(tmp_path, "example_build")
    marks = build / "marks.yaml"
    marks.write_text(marks.read_text().partition("\nvalves:\n")[0] + "\nvalves: []\n")
    return build


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
def test_the_demo_from_a_table(build: Path, capsys: Output, delimiter: str) -> None:
    table(build.parent, HEAD, *demo_rows(), [""] * len(HEAD), delimiter=delimiter)
    assert main(["record", "build", "--from", "readings.csv", "--on", "2026-11-20"]) == 0
    shown = capsys.readouterr().out
    assert shown.startswith(
        "build/marks.yaml: 13 trials of 8 valves entered. "
        "Ready to order: 12 pushrods + 1 spare of 9.450 in (gauge length)"
    )
    written = plain(read((build / "marks.yaml").read_bytes(), "").root)["valves"]
    assert [{**trial, "on": None} for entry in written for trial in entry["trials"]] == [
        {**trial, "on": None} for entry in READINGS for trial in entry["trials"]
    ]


def test_every_bad_cell_is_shown_and_nothing_is_written(build: Path, capsys: Output) -> None:
    before = (build / "marks.yaml").read_bytes()
    good = demo_rows()[0]
    rows = [
        ["7", "intake", "", "9.4", "", "", "", "", "", ""],
        ["1", "inlet", "", "9,4", "", "", "", "", "", ""],
        ["x", "intake", "", "", "", "0.151", "", "", "", ""],
        ["1", "intake", "", "9.4", "9", "0.182", "0.151", "", "", ""],
        ["1", "intake", "", "9.4", "", "0.1", "0.51", "", "", ""],
        [*good, "more"],
        ["1", "intake", "", "", "", "", "", "0.15", "0.151", ""],
    ]
    table(build.parent, HEAD, good, *rows)
    assert main(["record", "build", "--from", "readings.csv"]) == 2
    shown = capsys.readouterr()
    assert shown.out.splitlines() == [
        "readings.csv: error: row 3, column cylinder: this engine has no cylinder 7 intake",
        "readings.csv: error: row 4, column valve: 'inlet' is none of intake, exhaust",
        "readings.csv: error: row 4, column length: '9,4': a comma can mean thousands or decimals; write 7.412 or 7412",
        "readings.csv: error: row 5, column cylinder: 'x' is not a whole number",
        "readings.csv: error: row 5, column mark_to: is empty, and mark_from is not",
        "readings.csv: error: row 6, column turns: a trial has length or turns, not both",
        "readings.csv: error: row 7, column mark_to: 0.51 in lies beyond the 0.310 in tip; did you mean 0.051 in?",
        "readings.csv: error: row 8: has 11 cells, and the first row has 10",
        "readings.csv: error: row 9, column length: enter length, turns, a mark, lift or drop",
    ]
    assert shown.err == "Nothing was written: a table is entered whole or not at all.\n"
    assert (build / "marks.yaml").read_bytes() == before


def test_what_a_schema_refuses_is_shown_by_its_row(build: Path, capsys: Output) -> None:
    table(build.parent, [*HEAD, "shim", "checker"], [*demo_rows()[0], "", ""], [*demo_rows()[1], "5", "long"])
    assert main(["record", "build", "--from", "readings.csv"]) == 2
    assert "readings.csv: error: row 3, column shim: " in capsys.readouterr().out


@pytest.mark.parametrize(
    ("head", "reason"),
    [
        (["cylinder", "length"], "row 1: there is no column valve: the first row names the columns"),
        (["cylinder", "valve", "lenght"], "row 1, column 3: unknown name 'lenght'; known: cylinder, valve, "),
        (["cylinder", "valve", "valve"], "row 1, column 3: valve is there twice"),
        (["cylinder", "valve", "length"], "row 2: there is no reading below the first row"),
        ([], "row 1: there is no column cylinder"),
    ],
)
def test_a_first_row_that_names_no_columns(build: Path, capsys: Output, head: list[str], reason: str) -> None:
    table(build.parent, head)
    assert main(["record", "build", "--from", "readings.csv"]) == 2
    assert reason in capsys.readouterr().out


def test_a_table_that_was_entered_before_is_refused(build: Path, capsys: Output) -> None:
    table(build.parent, HEAD, *demo_rows())
    assert main(["record", "build", "--from", "readings.csv"]) == 0
    before = (build / "marks.yaml").read_bytes()
    assert main(["record", "build", "--from", "readings.csv"]) == 2
    assert "row 2: marks.yaml has this trial of cylinder 1 intake already" in capsys.readouterr().out
    assert (build / "marks.yaml").read_bytes() == before


def test_a_dry_run_shows_the_rows(build: Path, capsys: Output) -> None:
    before = (build / "marks.yaml").read_bytes()
    table(build.parent, HEAD, *demo_rows())
    assert main(["record", "build", "--from", "readings.csv", "--dry-run"]) == 0
    assert capsys.readouterr().out.count("\n+") > 13
    assert (build / "marks.yaml").read_bytes() == before


@pytest.mark.parametrize(("data", "reason"), [(b"\xff\xfe\x00", "not UTF-8 text"), (None, "No such file")])
def test_what_is_no_table(build: Path, capsys: Output, data: bytes | None, reason: str) -> None:
    if data is not None:
        (build.parent / "readings.csv").write_bytes(data)
    assert main(["record", "build", "--from", "readings.csv"]) == 2
    assert reason in capsys.readouterr().err


def test_a_table_names_its_valves_itself(build: Path, capsys: Output) -> None:
    table(build.parent, HEAD, *demo_rows())
    assert main(["record", "build", "3/exhaust", "--from", "readings.csv"]) == 2
    assert main(["record", "build", "--turns", "9", "--from", "readings.csv"]) == 2
    assert "leave 3/exhaust out" in capsys.readouterr().err


def rows_of(build: Path, **cells: str) -> Path:
    return table(build.parent, ["cylinder", "valve", *cells], ["1", "intake", *cells.values()])


def test_a_row_takes_every_value_that_an_option_takes(build: Path) -> None:
    """A lash cap and a mark's place sideways, and a known pushrod in place of the checking pushrod."""
    rows_of(build, length="9.4", mark_from=".19", mark_to=".22", cap_thickness=".08", cap_diameter=".4", across="-.01")
    assert main(["record", "build", "--from", "readings.csv", "--on", "2026-11-20"]) == 0
    known = {"known_length": "9.4", "known_stated_as": "gauge", "known_gauge_hole": ".12"}
    rows_of(build, **known, feeler=".03", plunger="top")
    assert main(["record", "build", "--from", "readings.csv", "--on", "2026-11-20"]) == 0
    (entry,) = plain(read((build / "marks.yaml").read_bytes(), "").root)["valves"]
    assert entry["trials"] == [
        {
            "length": "9.4 in", "mark": {"from": "0.19 in", "to": "0.22 in"}, "across": "-0.01 in", "on": "2026-11-20",
            "lash_cap": {"thickness": "0.08 in", "diameter": "0.4 in"},
        },
        {
            "known_pushrod": {"length": "9.4 in", "stated_as": "gauge", "gauge_hole": "0.12 in"},
            "feeler": "0.03 in", "plunger": "top", "on": "2026-11-20",
        },
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("cells", "column", "reason"),
    [
        ({"length": "9.4", "at": "valve"}, "at", "belongs to a row with lift or drop"),
        ({"length": "9.4", "lash": "0"}, "lash", "belongs to a row with lift or drop"),
        ({"crank": "370", "lift": ".04", "on": "2026-11-20"}, "on", "belongs to a trial: write it into note"),
        ({"crank": "370", "lift": ".04", "by": "MK"}, "by", "belongs to a trial: write it into note"),
        ({"crank": "370", "lift": ".04", "across": "0"}, "across", "belongs to a trial: enter lift and drop in a row"),
        ({"length": "9.4", "cap_thickness": ".08"}, "cap_diameter", "is empty, and cap_thickness is not"),
        ({"known_length": "9.4", "bolt_turns": "1"}, "known_stated_as", "is empty"),
        (
            {"known_length": "9.4", "known_stated_as": "about"},
            "known_stated_as",
            "'about' is none of overall, full ball",
        ),
        ({"known_length": "9.4", "known_stated_as": "gauge"}, "known_length", "a gauge length needs gauge_hole"),
    ],
)
def test_a_cell_that_the_row_cannot_use_is_refused(
    build: Path, capsys: Output, cells: dict[str, str], column: str, reason: str
) -> None:
    before = [path.read_bytes() for path in sorted(build.iterdir())]
    rows_of(build, **cells)
    assert main(["record", "build", "--from", "readings.csv"]) == 2
    assert f"readings.csv: error: row 2, column {column}: {reason}" in capsys.readouterr().out
    assert [path.read_bytes() for path in sorted(build.iterdir())] == before


def test_a_table_has_a_column_for_each_option_of_a_reading() -> None:
    """An option that one reading takes has its columns, so that a table can enter whatever the options enter."""
    parser = argparse.ArgumentParser()
    record.arguments(parser)
    options = {action.dest for action in parser._actions if action.option_strings}
    of_many = {"help", "void", "clearance", "type", "state", "correct", "table", "dry_run"}
    assert options - of_many == {*OF_TRIAL, *OF_MOTION, *OF_BOTH}


def test_options_that_no_row_uses_are_refused(build: Path, capsys: Output) -> None:
    """Readings of motion have neither reader nor day: an option for them would be lost."""
    rows_of(build, crank="370", lift=".04")
    assert main(["record", "build", "--from", "readings.csv", "--by", "MK"]) == 2
    assert "--by belongs to a trial, and readings.csv has none; write it into note" in capsys.readouterr().err
    assert not (build / "motion.yaml").exists()
    assert main(["record", "build", "--from", "readings.csv"]) == 0
