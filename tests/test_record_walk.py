"""The walk along the plan: a builder who answers its questions from the demo's readings ends with the demo's order."""

from __future__ import annotations

import io
import os
import re
import signal
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from rewritten import ROOT, copied

from buildcheck.cli.main import main
from buildcheck.yamlio.documents import plain, read

Output = pytest.CaptureFixture[str]
READINGS = plain(read((ROOT / "example_build/marks.yaml").read_bytes(), "").root)["valves"]
TRIALS = {(entry["cylinder"], entry["valve"]): entry["trials"] for entry in READINGS}
ORDER = "Ready to order: 12 pushrods + 1 spare of 9.450 in (gauge length)"


def bare(text: str) -> str:
    """A reading as it is typed: no unit, no zero before the point."""
    return text.removesuffix(" in").removeprefix("0")


class Bench(io.TextIOBase):
    """Reads the questions as they are written, and answers them from the demo's trials."""

    def __init__(self) -> None:
        self.shown = ""
        self.left = {valve: list(trials) for valve, trials in TRIALS.items()}
        self.trial: dict[str, Any] = {}
        self.keystrokes: list[int] = []

    def write(self, text: str) -> int:
        self.shown += text
        return len(text)

    def readline(self, size: int | None = -1) -> str:  # type: ignore[override]
        answer = self._answer(self.shown.rpartition("\n> ")[0].rpartition("\n")[2])
        self.shown += f"{answer}\n"
        if self.keystrokes:
            self.keystrokes[-1] += len(answer) + 1
        return f"{answer}\n"

    def _answer(self, question: str) -> str:
        if question.startswith("Seated"):
            return self._next()
        if question.startswith("Clearance"):
            return "g"
        if question.startswith("Length"):
            return bare(self.trial["length"]) if "length" in self.trial else f"{self.trial['turns']:g}t"
        if question.startswith("Mark"):
            return "-".join(map(bare, self.trial["mark"].values()))
        if question.startswith("Lines"):
            return ",".join(bare(self.trial[key]) for key in ("shut_at", "open_at")) if "shut_at" in self.trial else "n"
        assert question.startswith("Another trial of this valve now?"), question
        return "y" if self._own() else "n"

    def _next(self) -> str:
        if not self._own():
            return "s"
        self.trial = self._own().pop(0)
        self.keystrokes.append(0)
        return "y"

    def _own(self) -> list[Any]:
        _, cylinder, valve = [line for line in self.shown.splitlines() if line.startswith("Cylinder ")][-1].split()
        return self.left.get((int(cylinder), valve), [])


def started(to: Path, folder: str = "example_build") -> Path:
    build = copied(to, folder)
    marks = build / "marks.yaml"
    marks.write_text(marks.read_text().partition("\nvalves:\n")[0] + "\nvalves: []\n")
    return build


@pytest.fixture(scope="module")
def walked(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Bench]:
    build, bench = started(tmp_path_factory.mktemp("walk")), Bench()
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(sys, "stdin", bench)
        patch.setattr(sys, "stdout", bench)
        assert main(["record", str(build), "--by", "MK", "--on", "2026-11-20"]) == 0
    return build, bench


def test_it_ends_with_the_order_of_the_demo(walked: tuple[Path, Bench], capsys: Output) -> None:
    build, bench = walked
    assert ORDER in " ".join(bench.shown.split())
    assert main(["check", str(build)]) == 0
    assert ORDER in capsys.readouterr().out


def test_at_most_45_keystrokes_a_trial(walked: tuple[Path, Bench]) -> None:
    _, bench = walked
    assert len(bench.keystrokes) >= len(TRIALS)
    assert max(bench.keystrokes) <= 45


def test_every_line_is_plain_and_fits_40_columns(walked: tuple[Path, Bench]) -> None:
    _, bench = walked
    assert bench.shown.isascii()
    assert "\x1b" not in bench.shown
    assert [line for line in bench.shown.splitlines() if len(line) > 40] == []


def test_every_valve_has_its_trials_its_stop_and_its_reader(walked: tuple[Path, Bench]) -> None:
    build, bench = walked
    written = plain(read((build / "marks.yaml").read_bytes(), "").root)["valves"]
    taken = {(entry["cylinder"], entry["valve"]): entry["trials"] for entry in written}
    assert taken.keys() == TRIALS.keys()
    for valve, trials in taken.items():
        expected = TRIALS[valve][: len(TRIALS[valve]) - len(bench.left[valve])]
        assert [trial["mark"] for trial in trials] == [trial["mark"] for trial in expected]
        assert {(trial["by"], trial["on"]) for trial in trials} == {("MK", "2026-11-20")}
    assert all(entry["crank"].endswith(" deg") for entry in written)


def typed(monkeypatch: pytest.MonkeyPatch, *lines: str) -> None:
    monkeypatch.setattr(sys, "stdin", io.StringIO("".join(f"{line}\n" for line in lines)))


FIRST = ("y", "g", "9.425")


def walk(build: Path, capsys: Output) -> tuple[int, str, str]:
    code = main(["record", str(build), "--on", "2026-11-20"])
    shown = capsys.readouterr()
    return code, " ".join(shown.out.replace("> ", "").split()), shown.err


def test_an_implausible_answer_is_questioned_at_once(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Output
) -> None:
    build = started(tmp_path)
    typed(monkeypatch, "y", "g", "94.25", "y", ".14-1.7", "y", "n", "n", "q")
    code, shown, _ = walk(build, capsys)
    assert code == 0
    assert "94.25 in is far from the checking pushrod at its shortest, 9.100 in. Did you mean 9.425 in? (y/n)" in shown
    assert "1.7 in lies beyond the 0.310 in tip. Did you mean 0.17 in? (y/n)" in shown
    assert (
        "{length: 9.425 in, mark: {from: 0.14 in, to: 0.17 in}, on: 2026-11-20}" in (build / "marks.yaml").read_text()
    )


def test_a_suggestion_is_questioned_like_an_answer(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Output
) -> None:
    build = started(tmp_path)
    typed(monkeypatch, *FIRST, ".14-.51", "y", "n", ".14-.17", "n", "n", "q")
    _, shown, _ = walk(build, capsys)
    assert "Did you mean 0.051 in? (y/n) The far edge (0.051 in) lies nearer to the pivot" in shown
    assert "mark: {from: 0.14 in, to: 0.17 in}" in (build / "marks.yaml").read_text()


def test_back_skip_help_and_quit(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Output) -> None:
    build = started(tmp_path)
    typed(monkeypatch, "?", "y", "g", "9.4", "b", "9.425", ".145-.172", "n", "n", "s", "q")
    code, shown, _ = walk(build, capsys)
    assert code == 0
    assert "the pushrod sits in lifter, guide and rocker: y. s skips this valve, b goes back, q stops." in shown
    written = plain(read((build / "marks.yaml").read_bytes(), "").root)["valves"]
    assert [[trial["length"] for trial in entry["trials"]] for entry in written] == [["9.425 in"]]


def test_ended_input_writes_nothing_and_shows_what_was_entered(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Output
) -> None:
    build = started(tmp_path)
    before = (build / "marks.yaml").read_bytes()
    typed(monkeypatch, *FIRST, ".145-.172")
    code, _, errors = walk(build, capsys)
    assert code == 2
    assert errors.endswith(
        "Nothing was written. You entered: 1/intake {length: 9.425 in, mark: {from: 0.145 in, to: 0.172 in}}\n"
    )
    assert (build / "marks.yaml").read_bytes() == before


def test_a_trial_that_contradicts_the_one_before_is_questioned(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Output
) -> None:
    build = started(tmp_path)
    first, second = ("9.350", ".136-.172", "n"), ("9.350", ".150-.165", "n")
    typed(monkeypatch, "y", "g", *first, "y", "y", "g", *second, "n", "q")
    code, shown, _ = walk(build, capsys)
    assert code == 0
    assert "disagree" in shown
    assert "Keep this trial? (y/n)" in shown
    [entry] = plain(read((build / "marks.yaml").read_bytes(), "").root)["valves"]
    assert len(entry["trials"]) == 1


def test_a_valve_that_needs_another_trial_is_shown_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Output
) -> None:
    build = started(tmp_path)
    typed(monkeypatch, "y", "g", "9.350", ".136-.172", "n", "n", "q")
    assert walk(build, capsys)[0] == 0
    typed(monkeypatch, "y", "g", "9.400", ".144-.173", "n", "q")
    _, shown, _ = walk(build, capsys)
    assert "Trial 2: mark 0.003 in off centre" in shown
    typed(monkeypatch, "q")
    _, shown, _ = walk(build, capsys)
    assert "Cylinder 1 intake" not in shown


def test_on_a_pedestal_each_trial_has_its_shim(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Output) -> None:
    """The first trial stands on no shim, the second on the same, the third on that of rockers.yaml."""
    build = started(tmp_path, "tests/builds/vee_eight_mm")
    third = ("y", "y", "0.75", "g", "190.69", "3.20-4.05", "n", "q")
    typed(monkeypatch, "y", "0", "g", "189.49", "n", "y", "y", "y", "g", "189.50", "n", *third)
    _, shown, _ = walk(build, capsys)
    assert "Shim in mm (y: 0.75 mm)" in shown
    assert "Shim in mm (y: 0 mm)" in shown
    [entry] = plain(read((build / "marks.yaml").read_bytes(), "").root)["valves"]
    assert [trial.get("shim") for trial in entry["trials"]] == ["0 mm", "0 mm", "0.75 mm"]


def test_one_of_several_checking_pushrods_is_named(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Output
) -> None:
    build = started(tmp_path)
    checker = "{thread: 1/4-28, length_at_zero_turns: 9.100 in}"
    pushrods = (build / "pushrods.yaml").read_text(encoding="utf-8")
    several = re.sub(r"\nchecker:\n(  .*\n)+", f"\ncheckers: {{long: {checker}, short: {checker}}}\n", pushrods)
    (build / "pushrods.yaml").write_text(several, encoding="utf-8")
    typed(monkeypatch, "y", "g", "9t", "middle", "long", ".145-.172", "n", "q")
    code, shown, _ = walk(build, capsys)
    assert code == 0
    assert "Enter long or short." in shown
    assert "{turns: 9, mark: {from: 0.145 in, to: 0.172 in}, checker: long" in (build / "marks.yaml").read_text()


def test_without_a_cam_there_is_no_plan(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Output) -> None:
    build = started(tmp_path)
    (build / "block.yaml").unlink()
    typed(monkeypatch, "q")
    code, _, errors = walk(build, capsys)
    assert code == 2
    assert "no measuring plan yet: block.yaml" in errors


def test_a_killed_terminal_leaves_whole_trials(tmp_path: Path) -> None:
    build = started(tmp_path)
    files = sorted(path.name for path in build.iterdir())
    answers = "y\ng\n9.425\n.145-.172\n.153,.150\ny\ng\n9.425\n"
    command = [sys.executable, "-B", "-m", "buildcheck", "record", str(build), "--on", "2026-11-20"]
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join(filter(None, sys.path)), "TERM": "dumb"}
    pipes = {"stdin": subprocess.PIPE, "stdout": subprocess.PIPE}
    with subprocess.Popen(command, env=environment, text=True, **pipes) as walking:  # type: ignore[call-overload]
        walking.stdin.write(answers)
        walking.stdin.flush()
        assert any("Trial 1: " in line for line in iter(walking.stdout.readline, ""))
        walking.send_signal(signal.SIGKILL)
    [entry] = plain(read((build / "marks.yaml").read_bytes(), "").root)["valves"]
    assert [trial["length"] for trial in entry["trials"]] == ["9.425 in"]
    assert sorted(path.name for path in build.iterdir()) == files
    assert main(["record", str(build), "1/intake", "--length", "9.43"]) == 0
