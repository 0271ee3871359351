"""States of the engine that ``record`` keeps: a part that differs is new, or the same one measured again."""

from __future__ import annotations

import io
import sys
from pathlib import Path

import pytest
from rewritten import ROOT, Edit, copied

from buildcheck.cli.main import main
from buildcheck.yamlio.documents import plain, read

Output = pytest.CaptureFixture[str]
ONE_STATE: Edit = (
    "marks.yaml", "\nvalves:\n",
    "\nstates:\n  - {name: as first assembled, parts: {rockers.valve_arm: 1.550 in, rockers.ratio: 1.6}}\nvalves:\n",
)  # fmt: skip
OTHER_ARM: Edit = ("rockers.yaml", "valve_arm: 1.550 in", "valve_arm: 1.450 in")
TRIAL = ("3/exhaust", "--length", "9.43", "--mark", ".151-.182", "--on", "2026-11-20")


@pytest.fixture
def build(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return copied(tmp_path, "example_build", ONE_STATE, OTHER_ARM)


class Terminal(io.StringIO):
    """Typed lines that end where the builder stops typing."""

    def isatty(self) -> bool:
        return True


def written(build: Path, file: str = "marks.yaml") -> dict[str, object]:
    found = plain(read((build / file).read_bytes(), file).root)
    assert isinstance(found, dict)
    return found


def check_new_state(build: Path) -> None:
    marks = written(build)
    assert marks["states"] == [
        {"name": "as first assembled", "parts": {"rockers.valve_arm": "1.550 in", "rockers.ratio": 1.6}},
        {"name": "other rockers", "parts": {"rockers.valve_arm": "1.450 in", "rockers.ratio": 1.6}},
    ]
    valves = marks["valves"]
    assert isinstance(valves, list)
    assert {entry["state"] for entry in valves} == {"as first assembled"}
    own = next(entry for entry in valves if (entry["cylinder"], entry["valve"]) == (3, "exhaust"))
    assert [trial.get("state") for trial in own["trials"]] == [None, None, "other rockers"]
    assert written(build, "clearances.yaml")["state"] == "as first assembled"
    assert main(["check", "build", "--stage", "planning"]) == 0


def test_without_a_terminal_the_options_are_named_and_nothing_is_written(build: Path, capsys: Output) -> None:
    before = (build / "marks.yaml").read_bytes()
    assert main(["record", "build", *TRIAL]) == 2
    quoted = capsys.readouterr().err
    assert "1.550 in -> 1.450 in. For a new part add --state NAME" in quoted
    assert "if it was measured again, add --correct rockers.valve_arm" in quoted
    assert "You entered: 3/exhaust --length 9.43 --mark .151-.182" in quoted
    assert (build / "marks.yaml").read_bytes() == before


def test_a_new_part_makes_a_new_state(build: Path) -> None:
    assert main(["record", "build", *TRIAL, "--state", "other rockers"]) == 0
    check_new_state(build)


def test_a_new_state_gives_the_readings_of_motion_the_one_before(build: Path) -> None:
    motion = build / "motion.yaml"
    motion.write_bytes((ROOT / "tests/builds/inline_six_closed/motion.yaml").read_bytes())
    before = motion.read_text(encoding="utf-8").splitlines()
    assert main(["record", "build", *TRIAL, "--state", "other rockers"]) == 0
    after = motion.read_text(encoding="utf-8").splitlines()
    assert [line for line in after if line != "    state: as first assembled"] == before
    valves = written(build, "motion.yaml")["valves"]
    assert isinstance(valves, list)
    assert [entry["state"] for entry in valves] == ["as first assembled"] * len(valves)
    assert main(["check", "build", "--stage", "planning"]) == 0


def test_an_entry_of_motion_that_names_its_state_keeps_it(build: Path) -> None:
    (build / "motion.yaml").write_text(
        "valves:\n"
        "  - {cylinder: 1, valve: intake, at: valve, state: as first assembled, readings: [{crank: 1 deg}]}\n"
        "  - {cylinder: 1, valve: intake, at: lifter, readings: [{crank: 1 deg, lift: 0 in}]}  # lobe\n",
        encoding="utf-8",
    )
    assert main(["record", "build", *TRIAL, "--state", "other rockers"]) == 0
    text = (build / "motion.yaml").read_text(encoding="utf-8")
    assert text.count("state: as first assembled") == 2
    assert text.endswith("lift: 0 in}], state: as first assembled}  # lobe\n")


def test_a_part_measured_again_is_corrected_in_the_last_state(build: Path) -> None:
    before = (build / "marks.yaml").read_text()
    assert main(["record", "build", *TRIAL, "--correct", "rockers.valve_arm"]) == 0
    after = (build / "marks.yaml").read_text()
    trial = "      - {length: 9.43 in, mark: {from: 0.151 in, to: 0.182 in}, on: 2026-11-20}\n"
    assert after.replace(trial, "") == before.replace("rockers.valve_arm: 1.550 in", "rockers.valve_arm: 1.450 in")


def test_the_question_at_a_terminal(build: Path, monkeypatch: pytest.MonkeyPatch, capsys: Output) -> None:
    monkeypatch.setattr(sys, "stdin", Terminal("what\nnew\nother rockers\n"))
    assert main(["record", "build", *TRIAL]) == 0
    quoted = capsys.readouterr().out
    question = "1.550 in -> 1.450 in. New part, or the same part measured again? (new/again) "
    assert quoted.count(question) == 2
    assert "Name of the new state" in quoted
    check_new_state(build)


@pytest.mark.parametrize("typed", ["", "new\n"])
def test_ended_input_is_no_answer(build: Path, monkeypatch: pytest.MonkeyPatch, capsys: Output, typed: str) -> None:
    before = (build / "marks.yaml").read_bytes()
    monkeypatch.setattr(sys, "stdin", Terminal(typed))
    assert main(["record", "build", *TRIAL]) == 2
    assert "the input ended before the question was answered" in capsys.readouterr().err
    assert (build / "marks.yaml").read_bytes() == before


def test_a_clearance_of_a_new_state_names_it(build: Path) -> None:
    words = ("3/exhaust", "--clearance", "rocker_to_stud=.080", "--state", "other rockers")
    assert main(["record", "build", *words]) == 0
    each = written(build, "clearances.yaml")["each"]
    assert isinstance(each, list)
    assert each[-1] == {"cylinder": 3, "valve": "exhaust", "state": "other rockers", "rocker_to_stud": "0.080 in"}


def test_the_first_state_has_every_part_that_readings_depend_on(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Output
) -> None:
    monkeypatch.chdir(tmp_path)
    first = copied(tmp_path, "example_build")
    assert main(["record", "build", *TRIAL, "--state", "as first assembled"]) == 0
    assert "all earlier readings now count as taken with the parts of today" in capsys.readouterr().out
    [state] = written(first)["states"]  # type: ignore[misc]
    assert state["parts"]["rockers.valve_arm"] == "1.550 in"
    assert state["parts"]["cam.exhaust.lobe_lift"] == "0.285 in"
    assert main(["check", "build"]) == 0
    assert "Ready to order" in capsys.readouterr().out
    assert main(["record", "build", *TRIAL, "--correct", "rockers.shim"]) == 2
    assert "this part does not differ from the last state" in capsys.readouterr().err


def test_a_state_alone_asks_no_questions(build: Path, capsys: Output) -> None:
    assert main(["record", "build", "--state", "other rockers"]) == 0
    assert capsys.readouterr().out.startswith("build/marks.yaml:")
    states = written(build)["states"]
    assert isinstance(states, list)
    assert [state["name"] for state in states] == ["as first assembled", "other rockers"]
    assert main(["record", "build", "--state", "other rockers"]) == 2
    assert "'other rockers' is the last state already" in capsys.readouterr().err


def test_a_walk_is_no_dry_run(build: Path, capsys: Output) -> None:
    before = (build / "marks.yaml").read_bytes()
    assert main(["record", "build", "--dry-run"]) == 2
    assert "--dry-run shows one change" in capsys.readouterr().err
    assert (build / "marks.yaml").read_bytes() == before
