"""Advice at the bench: what each kind of mark is reported to do, in words and for scripts."""

from __future__ import annotations

import json
import shutil
from math import cos, radians
from pathlib import Path
from typing import Any

import pytest
from bench import GAUGES, PAD_TIP, PEDESTAL, STUD, lay_out, trials
from plain_tip import rise_to_middle

from buildcheck.cli.main import main

LOW = "length: 9.400 in, mark: {from: 0.140 in, to: 0.176 in}, shut_at: 0.1401 in, open_at: 0.165 in"
HIGH = "length: 9.400 in, mark: {from: 0.140 in, to: 0.176 in}, shut_at: 0.165 in, open_at: 0.1401 in"
WIDE = "length: 9.400 in, mark: {from: 0.140 in, to: 0.180 in}"
ASIDE = "length: 9.400 in, mark: {from: 0.240 in, to: 0.2575 in}"
GOOD = "length: 9.400 in, mark: {from: 0.146 in, to: 0.163 in}, shut_at: 0.1465 in, open_at: 0.1465 in"


@pytest.fixture
def result(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Any:
    """Gives the JSON of one valve's advice."""

    def one(*rows: str, **files: str) -> dict[str, Any]:
        build = lay_out(tmp_path, trials(*rows), **files)
        capsys.readouterr()
        assert main(["advise", str(build), "--format", "json"]) == 0
        (found,) = json.loads(capsys.readouterr().out)["advice"]
        return dict(found)

    return one


def inches(length: dict[str, Any]) -> float:
    return float(length["si"]) / 0.0254


def test_too_low_under_a_nut_requires_a_longer_pushrod_in_the_checkers_turns(result: Any) -> None:
    found = result(LOW)
    step = found["step"]
    assert (step["action"], found["height_error"].get("sign")) == ("change length", None)
    assert inches(step["length"]) == pytest.approx(inches(found["height_error"]) * 1.625, abs=0.001)
    assert step["turns"] == pytest.approx(inches(step["length"]) * 28)
    assert inches(step["reading"]) == pytest.approx(9.400 + inches(step["length"]))
    assert step["turns_in_all"] == pytest.approx((inches(step["reading"]) - 9.100) * 28)


def test_too_high_under_a_nut_requires_a_shorter_pushrod(result: Any) -> None:
    found = result(HIGH)
    assert found["step"]["turns"] < 0
    assert "shorter" in found["texts"]["cure"]
    assert "turns in, to" in found["texts"]["next"]


def test_a_width_alone_requires_the_contact_lines_or_a_longer_trial(result: Any) -> None:
    found = result(WIDE)
    assert (found["step"]["action"], found["height_error"]["sign"], found["basis"]) == (
        "read contacts", "unknown", "width alone",
    )  # fmt: skip
    assert "too low or too high (width alone)" in found["texts"]["pivot"]
    assert "or take one more mark 0.0" in found["texts"]["next"]
    assert inches(found["sure"]) > inches(found["height_error"]) * 1.6
    assert any("Both contact lines decide it" in note for note in found["notes"])


@pytest.mark.parametrize("row", [LOW, HIGH, WIDE, ASIDE, GOOD])
def test_never_another_pushrod_to_move_the_mark_on_a_fixed_mount(result: Any, row: str) -> None:
    found = result(row, rockers=PEDESTAL)
    assert found["notes"][0].startswith("On this mount the pushrod cannot move the mark")
    assert found["step"]["action"] != "change length"
    assert (found["step"]["reading"], found["step"]["turns"]) == (None, None)
    assert "longer" not in found["texts"]["next"]


def test_a_fixed_pivot_too_low_gets_a_shim_and_the_pushrod_that_goes_with_it(result: Any) -> None:
    step = result(LOW, rockers=PEDESTAL)["step"]
    assert step["action"] == "change height"
    assert inches(step["height"]) == pytest.approx(0.093, abs=0.002)
    assert inches(step["length"]) == pytest.approx(inches(step["height"]) * 1.6247, abs=0.001)


def test_a_fixed_pivot_too_high_gets_metal_off_or_a_lash_cap_each_with_its_pushrod(result: Any) -> None:
    found = result(HIGH, rockers=PEDESTAL)
    step = found["step"]
    assert inches(step["height"]) == pytest.approx(-0.093, abs=0.002)
    assert inches(step["length_with_cap"]) == pytest.approx(inches(step["height"]) / 1.6, abs=1e-6)
    assert "from the pedestal" in found["texts"]["cure"]
    assert "lash cap" in found["texts"]["cure"]
    assert "length" not in found["texts"]
    assert any("carried over or void" in note for note in found["notes"])


def test_a_narrow_mark_off_centre_leaves_the_push_pushrod_alone(result: Any) -> None:
    found = result(ASIDE)
    assert found["step"]["action"] == "move the centre"
    assert inches(found["off_centre"]) == pytest.approx(0.0938, abs=0.001)
    assert "no pushrod length corrects that" in found["texts"]["cure"]


def test_a_good_mark_needs_no_further_trial(result: Any) -> None:
    found = result(GOOD, rockers=STUD)
    assert (found["step"]["action"], found["needs_work"]) == ("none", False)
    assert inches(found["sure"]) == pytest.approx(0.022, abs=0.001)
    assert found["turns"] == pytest.approx(0.040 / ((cos(radians(4)) + 1 / 1.6) / 24))


def test_a_gauge_too_coarse_is_reported_how_fine_it_must_be(result: Any, tmp_path: Path) -> None:
    row = "length: 9.400 in, mark: {from: 0.15 in, to: 0.17 in}, shut_at: 0.145 in, open_at: 0.150 in"
    step = result(row, gauges=GAUGES.replace("0.003 in", "0.020 in"))["step"]
    assert step["action"] == "finer gauge"
    shutil.rmtree(tmp_path / "engine")
    settled = result(row, gauges=GAUGES.replace("0.003 in", f"{inches(step['good_to']) * 0.95:.4f} in"))
    assert settled["step"]["action"] == "none"


def test_a_pad_tip_is_centred_never_narrowed(result: Any) -> None:
    found = result("length: 9.400 in, mark: {from: 0.010 in, to: 0.210 in}", rockers=PAD_TIP)
    assert (found["step"]["action"], found["least"], found["height_error"]) == ("change length", None, None)
    assert inches(found["step"]["height"]) == pytest.approx(rise_to_middle(1.550, 0.448, 0.200, -0.045), abs=1e-6)


def test_a_pad_tip_off_to_the_far_side_gets_a_first_step_shorter(result: Any) -> None:
    found = result("length: 9.400 in, mark: {from: 0.130 in, to: 0.310 in}", rockers=PAD_TIP)
    assert inches(found["step"]["length"]) < -0.1
    assert "only a first step" in found["texts"]["next"]


def test_a_checker_that_does_not_reach_is_said(result: Any) -> None:
    found = result(LOW.replace("9.400 in", "9.650 in"))
    assert "The checking pushrod does not reach that length" in found["texts"]["next"]


def test_the_trial_that_does_not_fit_is_to_be_repeated(result: Any) -> None:
    rows = [f"length: {9.300 + 0.050 * i} in, shut_at: {a} in, open_at: 0.150 in" for i, a in
            enumerate((0.1277, 0.1750, 0.1445, 0.1530))]  # fmt: skip
    found = result("length: 9.250 in", *rows)
    assert (found["step"]["action"], found["step"]["trial"]) == ("repeat", 3)


def test_a_rocker_on_the_retainer_makes_its_marks_worthless(result: Any) -> None:
    found = result(LOW, clearances="intake: {rocker_to_retainer: 0 in}\n")
    assert found["step"]["action"] == "clear the retainer"
    assert "touches the spring retainer" in found["texts"]["next"]


@pytest.mark.parametrize("band", ["", "contact_band: 0 in\n"])
def test_a_contact_band_that_was_not_measured_is_requested(result: Any, band: str) -> None:
    found = result(WIDE, gauges=GAUGES.replace("contact_band: 0 in\n", band))
    assert any("press the rocker down once" in note for note in found["notes"])


def test_text_for_one_valve(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    build = lay_out(tmp_path, trials(LOW), trials(GOOD, valve="exhaust"))
    assert main(["advise", str(build), "--valve", "1/exhaust"]) == 0
    out = capsys.readouterr().out
    assert "cylinder 1 exhaust (marks.yaml:16)" in out
    assert "1 intake" not in out
    assert max(len(line) for line in out.splitlines()) < 200


@pytest.mark.parametrize(
    ("valve", "expected"), [("9/intake", "no cylinder 9"), ("2/intake", "not measured"), ("x", "such as")]
)
def test_a_valve_that_is_not_there_is_a_wrong_call(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], valve: str, expected: str
) -> None:
    build = lay_out(tmp_path, trials(LOW))
    assert main(["advise", str(build), "--valve", valve]) == 2
    assert expected in capsys.readouterr().err


def test_a_build_that_cannot_be_read_gets_no_advice(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    build = lay_out(tmp_path, trials("length: 9.4"))
    assert main(["advise", str(build)]) == 2
    assert "marks.yaml:12" in capsys.readouterr().out


def test_the_report_lists_only_valves_that_need_work(tmp_path: Path) -> None:
    build = lay_out(tmp_path, trials(LOW), trials(GOOD, valve="exhaust"))
    assert main(["report", str(build)]) == 0
    text = (build / "REPORT.md").read_text()
    section = text.split("## Next at the bench")[1].split("## ")[0]
    assert "| 1 intake |" in section
    assert "exhaust" not in section
    assert "Next at the bench" not in (Path(__file__).parent.parent / "example_build/REPORT.md").read_text()


def test_the_report_stays_short_with_twelve_valves_to_work_on(tmp_path: Path) -> None:
    rows = [
        trials(WIDE.replace("9.400", f"9.4{number}"), valve=valve, cylinder=number)
        for number in range(1, 7)
        for valve in ("intake", "exhaust")
    ]
    build = lay_out(tmp_path, *rows, gauges=GAUGES.replace("contact_band: 0 in", "contact_band: 0.002 in"))
    assert main(["report", str(build)]) == 0
    text = (build / "REPORT.md").read_text()
    assert len(text.encode()) < 20_000
    assert text.count("\n") < 400
