"""What a bench may write: gauges as fine or coarse as any, fields left out. Every command copes, none crashes."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from attacked import Call
from judged import BUILDS, copied, judged
from thorough import THOROUGH, pairs, sample

from buildcheck.core.subject import Subject

CLOSED = "tests/builds/inline_six_closed"
STATED = [f"{name}: {size} in" for name in ("resolution", "uncertainty") for size in (0, 0.001, 0.005)]


def every_command(call: Call, build: Path) -> None:
    """What a file refuses ends in 2, as it must; the fixture holds every call to end without a crash.

    Without THOROUGH only advice and report: they work out what a check and a plan show, and more.
    """
    for words in (("advise",), ("report", "--pictures"), *([("check",), ("plan",)] if THOROUGH else [])):
        ended = call(words[0], build, *words[1:])
        assert ended.code in (0, 1) or "implausible" in ended.out + ended.err, words


@pytest.mark.parametrize(("name", "stated"), pairs([*BUILDS, CLOSED], STATED))
def test_the_marks_may_be_read_with_any_gauge(name: str, stated: str, call: Call, tmp_path: Path) -> None:
    build = copied(name, tmp_path)
    marks = (build / "marks.yaml").read_text(encoding="utf-8")
    gauge = f"mark_gauge: {{name: loupe, resolution: 0.001 in, {stated}}}"
    gauge = gauge if "uncertainty" in stated else f"mark_gauge: {{name: loupe, {stated}}}"
    (build / "marks.yaml").write_text(re.sub("^mark_gauge:.*", gauge, marks, flags=re.MULTILINE))
    every_command(call, build)


def test_a_fit_of_one_height_that_reaches_zero_shows_it(tmp_path: Path) -> None:
    """Too low and too high are then one valley of the fit: a height beside zero, sign and all."""
    build = copied("example_build", tmp_path)
    marks = (build / "marks.yaml").read_text(encoding="utf-8")
    gauge = "mark_gauge: {name: loupe, resolution: 0.001 in}"
    (build / "marks.yaml").write_text(re.sub("^mark_gauge:.*", gauge, marks, flags=re.MULTILINE))
    error = judged(build).facts.get("height_error", Subject(6, "exhaust"))
    assert (error.sign_known, error.si < 0, error.expanded >= -error.si) == (True, True, True)


@pytest.mark.parametrize(
    ("name", "left_out"),
    pairs(["tests/builds/flat_four_solid", "tests/builds/vee_eight_mm"], ["adjuster", "note", "shim"]),
)
def test_a_pedestal_or_shaft_need_not_name_an_adjuster(name: str, left_out: str, call: Call, tmp_path: Path) -> None:
    build = copied(name, tmp_path)
    rockers = (build / "rockers.yaml").read_text(encoding="utf-8")
    (build / "rockers.yaml").write_text(re.sub(f"^{left_out}:.*\n", "", rockers, flags=re.MULTILINE))
    every_command(call, build)


def test_a_pedestal_without_an_adjuster_is_fixed_and_its_order_requires_it(call: Call, tmp_path: Path) -> None:
    build = copied("tests/builds/vee_eight_mm", tmp_path)

    def result() -> list[tuple[object, ...]]:
        valves = json.loads(call("advise", build, "--format", "json").out)["advice"]
        return [(one["free"], one["height_error"], one["step"]) for one in valves]

    expected = result()
    rockers = (build / "rockers.yaml").read_text(encoding="utf-8")
    (build / "rockers.yaml").write_text(rockers.replace("adjuster: none\n", "\n"))
    assert result() == expected
    assert "cannot be determined. adjuster is missing in rockers.yaml [length-orderable]" in call("check", build).out


PAD_TIP_MARK = ("marks.yaml", "from: 1.40 mm, to: 5.75 mm")


def pad_tip(to: Path, file: str, old: str, new: str) -> Path:
    build = copied("tests/builds/inline_four_pad", to)
    text = (build / file).read_text(encoding="utf-8")
    assert re.search(old, text)
    (build / file).write_text(re.sub(old, new, text), encoding="utf-8")
    return build


@pytest.mark.parametrize("lift", ["65.0 mm", "48.5 mm", "24.0 mm", "12.0 mm"])
def test_a_lift_that_the_arm_cannot_follow_blocks_the_order(lift: str, call: Call, tmp_path: Path) -> None:
    build = pad_tip(tmp_path, "cam.yaml", r"lobe_lift: \S+ mm", f"lobe_lift: {lift}")
    every_command(call, build)
    result = json.loads(call("check", build, "--format", "json", "--stage", "planning").out)["builds"][0]["results"]
    refused = [one for one in result if "rocker's arm is too short" in one["message"] and one["blocks"]]
    assert ("length-orderable" in {one["rule"] for one in refused}) == (lift in ("65.0 mm", "48.5 mm"))


@pytest.mark.parametrize("far", sample(["5.69", "5.75", "5.80", "5.90", "6.20", "7.10", "7.30"], 3))
def test_a_narrow_mark_on_a_pad_tip_is_drawn_and_advised(far: str, call: Call, tmp_path: Path) -> None:
    every_command(call, pad_tip(tmp_path, *PAD_TIP_MARK, f"from: 5.08 mm, to: {far} mm"))


@pytest.mark.parametrize("far", ["5.75", "5.80"])
def test_a_mark_no_wider_than_its_uncertainty_advises_no_pushrod(far: str, call: Call, tmp_path: Path) -> None:
    build = pad_tip(tmp_path, *PAD_TIP_MARK, f"from: 5.08 mm, to: {far} mm")
    [result] = json.loads(call("advise", build, "--valve", "1/intake", "--format", "json").out)["advice"]
    assert (result["step"]["action"], result["step"]["length"], result["length_asked"]) == ("mark again", None, None)
    assert "narrower than its uncertainty" in result["step"]["why"]


def test_a_tip_as_wide_as_a_hand_is_drawn(call: Call, tmp_path: Path) -> None:
    every_command(call, pad_tip(tmp_path, "heads.yaml", r"tip_diameter: [^}]*", "tip_diameter: 3 in"))
