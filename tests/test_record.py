"""Readings entered by ``record``: what is written, what is answered, and what is refused with nothing written."""

from __future__ import annotations

import os
import resource
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from datetime import date
from pathlib import Path

import pytest
from rewritten import Edit, copied

from buildcheck.app.recording import ChangedMeanwhileError, record
from buildcheck.build.new_reading import MARKS, NewTrial
from buildcheck.cli.main import main
from buildcheck.core.subject import Subject
from buildcheck.yamlio.documents import plain, read

Output = pytest.CaptureFixture[str]
LAST = "        note: The roller just kisses the far side of the middle, as far as any of them goes.\n"
TURNS = ("--turns", "9.25", "--mark", ".151-.182", "--lines", ".157,.158")


@pytest.fixture
def build(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return copied(tmp_path, "example_build")


def enter(build: Path, *words: str, code: int = 0) -> None:
    assert main(["record", build.name, *words]) == code


def test_one_line_in_one_line_back(build: Path, capsys: Output) -> None:
    before = (build / MARKS).read_text()
    enter(build, "3/exhaust", *TURNS, "--by", "MK", "--on", "2026-11-20")
    assert capsys.readouterr().out == (
        "build/marks.yaml:50: cylinder 3 exhaust, trial 3: mark 0.011 in off centre, away from the pivot; "
        "pivot height correct within 0.012 in. The mark is good. No further trial is needed.\n"
    )
    trial = (
        "      - {turns: 9.25, mark: {from: 0.151 in, to: 0.182 in}, shut_at: 0.157 in, open_at: 0.158 in, "
        "on: 2026-11-20, by: MK}\n"
    )
    assert (build / MARKS).read_text() == before.replace(LAST, LAST + trial)


def test_the_day_is_the_clock_s_and_nobody_is_the_reader_unless_named(build: Path) -> None:
    enter(build, "3/exhaust", "--turns", "9", "1/4")
    assert f"- {{turns: 9.25, on: {date.today().isoformat()}}}" in (build / MARKS).read_text()


def test_a_valve_s_first_trial_is_an_entry_of_its_own(build: Path, capsys: Output) -> None:
    enter(
        build,
        "4/intake",
        "--length",
        "9.425",
        "--mark",
        "5/32",
        "in",
        "-",
        "3/16",
        "--crank",
        "107",
        "--on",
        "2026-11-20",
    )
    assert capsys.readouterr().out.startswith("build/marks.yaml:70: cylinder 4 intake, trial 1: mark ")
    assert (
        (build / MARKS)
        .read_text()
        .endswith(
            "  - cylinder: 4\n    valve: intake\n    crank: 107 deg\n    trials:\n"
            "      - {length: 9.425 in, mark: {from: 5/32 in, to: 3/16 in}, on: 2026-11-20}\n"
        )
    )


def test_units_are_the_build_s(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    metric = copied(tmp_path, "tests/builds/vee_eight_mm")
    enter(metric, "1/intake", "--length", "190.5", "--feel", "tight", "--on", "2026-11-20")
    assert "- {length: 190.5 mm, feel: tight, on: 2026-11-20}" in (metric / MARKS).read_text()


def test_a_trial_without_a_mark_is_not_given_the_mark_before(build: Path, capsys: Output) -> None:
    enter(build, "3/exhaust", "--turns", "9", "--feel", "tight")
    assert (
        ", trial 3: entered without a mark. From the mark before: mark 0.011 in off centre" in capsys.readouterr().out
    )


def test_a_valve_without_a_mark_is_not_finished(build: Path, capsys: Output) -> None:
    for feel, turns in (("slack", "9.25"), ("tight", "9.5")):
        enter(build, "4/intake", "--turns", turns, "--feel", feel)
    slack, tight = capsys.readouterr().out.splitlines()
    assert slack.endswith("Clearance was still felt at 9.426 in: set the checker half a turn longer and feel again.")
    assert tight.endswith("no mark entered yet. Set zero lash, turn the crank twice and take a mark.")
    assert main(["advise", build.name]) == 0
    good = capsys.readouterr().out.partition("Good, no further trial is needed:")[2]
    assert "cylinder 3 intake" in good
    assert "cylinder 4 intake" not in good


def test_a_build_that_is_not_there(build: Path, capsys: Output) -> None:
    assert main(["record", "elsewhere", "3/exhaust", *TURNS]) == 2
    shown = capsys.readouterr().err
    assert "elsewhere does not exist" in shown
    assert "You entered: 3/exhaust --turns 9.25" in shown


def test_a_trial_is_void(build: Path, capsys: Output) -> None:
    enter(build, "1/exhaust", "--void", "1", "smeared")
    assert "just as a short one leaves it.\n        void: smeared\n" in (build / MARKS).read_text()
    assert ": cylinder 1 exhaust, trial 1 is void. The other trials: mark " in capsys.readouterr().out
    enter(build, "1/exhaust", "--void", "1", "smeared", code=2)
    assert "trial 1 of cylinder 1 exhaust is void already: smeared" in capsys.readouterr().err


def test_clearances_of_a_valve_and_of_its_type(build: Path, capsys: Output) -> None:
    enter(build, "4/exhaust", "--clearance", "pushrod_to_head=.040", "--clearance", "piston_to_valve=0.155")
    enter(build, "4/exhaust", "--clearance", "piston_to_valve=0.150", "--type")
    written = plain(read((build / "clearances.yaml").read_bytes(), "").root)
    assert written["each"][0]["pushrod_to_head"] == "0.040 in"
    assert written["each"][0]["piston_to_valve"]["value"] == "0.155 in"
    assert written["each"][0]["piston_to_valve"]["gauge"]["name"] == "clay and caliper"
    assert written["exhaust"]["piston_to_valve"]["value"] == "0.150 in"
    assert written["exhaust"]["piston_to_valve"]["gauge"]["uncertainty"] == "0.010 in"
    assert capsys.readouterr().out.splitlines()[-1] == (
        "build/clearances.yaml:15: exhaust, piston_to_valve 0.150 in: "
        "minimum piston-to-valve clearance 0.1500 in ± 0.0100 in; minimum 0.1000 in."
    )


def test_a_dry_run_shows_the_change_and_writes_nothing(build: Path, capsys: Output) -> None:
    before = (build / MARKS).read_bytes()
    enter(build, "3/exhaust", *TURNS, "--dry-run")
    assert "\n+      - {turns: 9.25, mark: {from: 0.151 in, to: 0.182 in}" in capsys.readouterr().out
    assert (build / MARKS).read_bytes() == before


@pytest.mark.parametrize(
    ("words", "reason"),
    [
        (("--mark", ".182-.151"), "than the near edge (0.182 in); did you mean 0.151 in to 0.182 in?"),
        (("--mark", ".151-.51"), "0.51 in lies beyond the 0.310 in tip; did you mean 0.051 in?"),
        (("--mark", ".151"), "--mark: '.151' is not two lengths: write them like .151-.182"),
        (("--turns", "9,25"), "--turns: '9,25': a comma can mean thousands or decimals"),
        (("--length", "9.4 kg"), "--length: "),
        (("--clearance", "piston=0.1"), "enter a name and a length, such as piston_to_valve=0.135"),
        (("--void", "7", "smeared"), "there is no trial 7"),
        (("--length", "9.4", "--checker", "long"), "unknown checker 'long'"),
        (("--length", "94.3"), "94.3 in is far from the last length, 9.4255 in; did you mean 9.43 in?"),
        (("--turns", "20"), "the checking pushrod has 16 turns, not 20"),
        (("--length", "9.4", "--shim", "5"), "marks.yaml:50:"),
    ],
)  # fmt: skip
def test_what_cannot_be_meant_is_refused_and_printed(
    build: Path, capsys: Output, words: tuple[str, ...], reason: str
) -> None:
    before = (build / MARKS).read_bytes()
    enter(build, "3/exhaust", *words, code=2)
    quoted = capsys.readouterr()
    assert reason in quoted.out + quoted.err
    assert "Nothing was written. You entered: 3/exhaust --" in quoted.err
    assert (build / MARKS).read_bytes() == before


BROKEN: list[Edit] = [
    ("marks.yaml", "valves:\n", "valves: [\n"),
    ("heads.yaml", "material: aluminium alloy", "material: 7"),
]


@pytest.mark.parametrize("edit", BROKEN)
def test_a_build_that_cannot_be_read_stays_as_it_is(tmp_path: Path, capsys: Output, edit: Edit) -> None:
    build = copied(tmp_path, "example_build", edit)
    before = (build / MARKS).read_bytes()
    assert main(["record", str(build), "3/exhaust", *TURNS]) == 2
    quoted = capsys.readouterr()
    assert f"/{edit[0]}:" in quoted.out
    assert "You entered: 3/exhaust --turns 9.25 --mark .151-.182 --lines .157,.158\n" in quoted.err
    assert (build / MARKS).read_bytes() == before


def test_a_new_file_begins_with_the_first_trial(build: Path) -> None:
    (build / MARKS).unlink()
    enter(build, "1/intake", "--length", "9.425", "--on", "2026-11-20")
    assert (build / MARKS).read_text() == (
        "valves:\n  - cylinder: 1\n    valve: intake\n    trials:\n      - {length: 9.425 in, on: 2026-11-20}\n"
    )


def test_several_at_once_lose_no_entry(build: Path) -> None:
    trials = [NewTrial(Subject(4, "intake"), {"length": f"9.42{n} in"}) for n in range(6)]
    with ThreadPoolExecutor(6) as together:
        list(together.map(lambda trial: record(build, {MARKS: trial.edit}), trials))
    text = (build / MARKS).read_text()
    assert [text.count(f"- {{length: 9.42{n} in}}") for n in range(6)] == [1] * 6
    assert text.count("cylinder: 4") == 1


def test_a_file_edited_meanwhile_keeps_both(build: Path) -> None:
    trial, times = NewTrial(Subject(3, "exhaust"), {"length": "9.42 in"}), []

    def edit(text: str) -> str:
        times.append(text)
        if len(times) == 1:
            (build / MARKS).write_text(text + "part: edited meanwhile\n")
        return trial.edit(text)

    after = record(build, {MARKS: edit}).files[0].after
    assert len(times) == 2
    assert (build / MARKS).read_text() == after
    assert after.endswith("part: edited meanwhile\n")
    assert "- {length: 9.42 in}" in after


def test_a_file_that_changes_each_time_is_left_alone(build: Path) -> None:
    def edit(text: str) -> str:
        (build / MARKS).write_text(f"{text}# again\n")
        return NewTrial(Subject(3, "exhaust"), {"length": "9.42 in"}).edit(text)

    with pytest.raises(ChangedMeanwhileError):
        record(build, {MARKS: edit})
    assert "9.42 in}" not in (build / MARKS).read_text()


def test_a_full_disk_leaves_the_file_and_shows_the_entry(build: Path) -> None:
    before, files = (build / MARKS).read_bytes(), set(build.iterdir())
    done = subprocess.run(
        [sys.executable, "-B", "-m", "buildcheck", "record", "build", "3/exhaust", *TURNS],
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (len(before) // 2, len(before) // 2)),
        env={**os.environ, "PYTHONPATH": os.pathsep.join(filter(None, sys.path))},
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 2
    assert "marks.yaml: cannot be written (" in done.stderr
    assert "You entered: 3/exhaust --turns 9.25" in done.stderr
    assert set(build.iterdir()) == files
    assert (build / MARKS).read_bytes() == before


@pytest.mark.parametrize("style", ["crlf", "bom", "flow"])
def test_line_endings_byte_order_mark_and_braces_stay(build: Path, style: str) -> None:
    path = build / MARKS
    text = (
        path.read_text()
        if style != "flow"
        else "{valves: [{cylinder: 3, valve: exhaust, trials: [{length: 9.4 in}]}]}\n"
    )
    data = (text.replace("\n", "\r\n") if style == "crlf" else "\ufeff" + text if style == "bom" else text).encode()
    path.write_bytes(data)
    enter(build, "3/exhaust", "--turns", "9", "--on", "2026-11-20")
    after = path.read_bytes()
    added = {"crlf": b"      - {turns: 9, on: 2026-11-20}\r\n", "bom": b"      - {turns: 9, on: 2026-11-20}\n"}
    assert after.replace(added.get(style, b", {turns: 9, on: 2026-11-20}"), b"") == data


def test_a_shim_below_zero_is_no_option(build: Path, capsys: Output) -> None:
    """Metal removed from a pedestal: argparse alone takes a number with its unit for an option."""
    assert main(["record", "build", "1/intake", "--length", "9.4", "--shim", "-0.030in", "--dry-run"]) == 0
    assert 'shim: "-0.030 in"' in capsys.readouterr().out


def test_a_lash_cap_and_where_the_mark_lies_sideways(build: Path, capsys: Output) -> None:
    cured = ("--length", "9.4", "--mark", ".19-.22", "--cap", ".080,.400", "--across", "-.010")
    assert main(["record", "build", "1/intake", *cured, "--on", "2026-11-20"]) == 0
    text = (build / "marks.yaml").read_text(encoding="utf-8")
    assert 'across: "-0.010 in", on: 2026-11-20, lash_cap: {thickness: 0.080 in, diameter: 0.400 in}}' in text
    capsys.readouterr()
    assert main(["record", "build", "1/intake", "--across", ".010"]) == 2
    assert "enter one reading" in capsys.readouterr().err


@pytest.fixture
def eight(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The build on pedestals, in millimetres."""
    monkeypatch.chdir(tmp_path)
    return copied(tmp_path, "tests/builds/vee_eight_mm")


KNOWN_PUSHRODS = [
    (("190.5", "overall", "--feeler", "6.8", "--plunger", "bottom"),
     "{length: 190.5 mm, stated_as: overall}|feeler: 6.8 mm|plunger: bottom"),
    (("190.5 mm, full ball", "--bolt", "3/4"), "{length: 190.5 mm, stated_as: full ball}|bolt_turns: 0.75"),
    (("7.5in", "gauge", "3", "--bolt", "1", "turn"),
     "{length: 7.5 in, stated_as: gauge, gauge_hole: 3 mm}|bolt_turns: 1"),
]  # fmt: skip


@pytest.mark.parametrize(("words", "written"), KNOWN_PUSHRODS)
def test_a_known_pushrod_with_feeler_or_bolt(eight: Path, capsys: Output, words: tuple[str, ...], written: str) -> None:
    assert main(["record", eight.name, "1/intake", "--known", *words, "--on", "2026-11-20"]) == 0
    text = (eight / MARKS).read_text(encoding="utf-8")
    known, *more = written.split("|")
    assert [f"known_pushrod: {known}" in text, *(each in text for each in more)] == [True] * (1 + len(more))
    assert "cylinder 1 intake, trial" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("words", "reason"),
    [
        (("--known", "190.5"), "--known: '190.5' is no known pushrod: write it like 9.400 overall"),
        (("--known", "190.5 gauge", "--bolt", "1"), "a gauge length needs gauge_hole"),
        (("--known", "190.5 gauge", "--bolt", "1"), "You entered: 1/intake --known '190.5 gauge' --bolt 1"),
        (("--feeler", ".3"), "enter one reading"),
        (("--lift", ".1", "--crank", "100", "--feeler", ".3"), "--feeler belongs to a trial"),
    ],
)
def test_what_lacks_the_known_pushrod_is_refused(
    eight: Path, capsys: Output, words: tuple[str, ...], reason: str
) -> None:
    before = (eight / MARKS).read_bytes()
    assert main(["record", eight.name, "1/intake", *words]) == 2
    shown = capsys.readouterr()
    assert reason in shown.out + shown.err
    assert (eight / MARKS).read_bytes() == before
