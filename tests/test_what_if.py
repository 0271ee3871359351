"""What if a part were milled, swapped or raised: held against the build that truly is so."""

from __future__ import annotations

import json
import shutil
from math import pi
from pathlib import Path
from statistics import median, median_low

import pytest
from altered import facts
from bench import lay_out, trials
from rewritten import ROOT, as_it_is, rewritten

from buildcheck.advice.what_if import Effect, what_if
from buildcheck.app.build_check import quantities
from buildcheck.app.run import run
from buildcheck.cli.main import main
from buildcheck.core.usage_error import UsageError
from buildcheck.core.value import Value

SIX, EIGHT, FLAT = "example_build", "tests/builds/vee_eight_mm", "tests/builds/flat_four_solid"
INCH = 0.0254


def effects(folder: str, *assumed: str) -> dict[tuple[str, str], Effect]:
    return {(one.subject.key, one.title): one for one in what_if(as_it_is(folder).facts, assumed).effects}


def change(effect: Effect) -> float:
    return effect.then.si - (effect.now.si if effect.now else 0.0)


def test_a_milled_head_shortens_every_pushrod_by_the_cut_and_moves_the_order() -> None:
    facts = as_it_is(SIX).facts
    answer = what_if(facts, ["head_milled=0.030 in"])
    asked = [one for one in answer.effects if one.title.startswith("Required length")]
    assert [change(one) / INCH for one in asked] == pytest.approx([-0.030, -0.030], abs=1e-5)
    result = [[round(line.length.stated / INCH, 4) for line in order.lines] for order in (answer.before, answer.after)]
    assert result == [[9.450], [9.400]]


def test_under_a_nut_pushrods_that_stay_move_the_pivot() -> None:
    """A pushrod 0.030 in too long now holds the pivot 0.030 in / (cos 4° + 1/1.6) too high."""
    lower = effects(SIX, "head_milled=0.030 in")["intake", "Pivot below mid-lift height"]
    assert change(lower) / INCH == pytest.approx(-0.030 / (0.9975641 + 1 / 1.6))


@pytest.mark.parametrize(
    ("assumed", "longer"), [("pedestal_raised=0.5 mm", 0.5 * (1 + 1 / 1.7)), ("tip_higher=1 mm", -1 / 1.7)]
)
def test_under_a_fixed_rocker_pushrods_that_stay_change_the_preload(assumed: str, longer: float) -> None:
    preload = effects(EIGHT, assumed)["intake", "Preload, same pushrods"]
    assert change(preload) == pytest.approx(-longer / 1000)


def test_a_screw_takes_up_what_the_pushrods_lack() -> None:
    found = effects(FLAT, "gasket_thickness=0.060 in")
    assert change(found["exhaust", "Adjuster screw, same pushrods"]) / INCH == pytest.approx(0.020)


def test_a_thicker_gasket_is_what_the_build_with_that_gasket_says(tmp_path: Path) -> None:
    found = effects(SIX, "gasket_thickness=1.60 mm")
    true = rewritten(tmp_path, SIX, ("heads.yaml", "thickness: 1.07 mm", "thickness: 1.60 mm")).facts
    titles = {"Compression ratio": "compression_ratio", "Quench": "quench"}
    titles["Dynamic compression ratio"] = "dynamic_compression_ratio"
    for title, name in titles.items():
        assert found["", title].then.si == pytest.approx(true.get(name).si)
    assert change(found["intake", "Piston to valve"]) == pytest.approx(0.53e-3)


def test_a_milled_block_is_what_the_build_with_that_deck_says(tmp_path: Path) -> None:
    found = effects(SIX, "block_milled=0.10 mm")["", "Compression ratio"].then.si
    true = rewritten(tmp_path, SIX, ("block.yaml", "deck_clearance: 0.13 mm", "deck_clearance: 0.03 mm")).facts
    assert found == pytest.approx(true.get("compression_ratio").si)


def reached(value: Value) -> tuple[float, float]:
    return value.si - value.expanded, value.si + value.expanded


def test_a_milled_chamber_is_bounded_until_it_is_filled_again(tmp_path: Path) -> None:
    low, high = reached(effects(SIX, "head_milled=0.030 in")["", "Compression ratio"].then)
    lost = pi / 4 * 10.414**2 * 0.0762
    for cc in (78.0, 78 - lost):
        true = rewritten(
            tmp_path / str(cc), SIX, ("heads.yaml", "chamber_volume: 78 cc", f"chamber_volume: {cc:.6f} cc")
        )
        assert low - 0.02 <= true.facts.get("compression_ratio").si <= high + 0.02
    filled = effects(SIX, "head_milled=0.030 in", "chamber_volume=75.5 cc")["", "Compression ratio"].then
    assert (filled.expanded, low < filled.si < high) == (0, True)


def test_a_piston_under_a_shaved_head_comes_nearer_its_valves() -> None:
    found = effects(SIX, "head_milled=0.020 in", "block_milled=0.010 in")
    assert change(found["exhaust", "Piston to valve"]) / INCH == pytest.approx(-0.030)


def test_what_cannot_be_determined_is_said_and_the_rest_still_answered() -> None:
    answer = what_if(as_it_is("tests/builds/inline_four_pad").facts, ["gasket_thickness=1.5 mm"])
    assert dict(answer.undetermined)["dynamic compression"] == "rod_length is missing in block.yaml"
    assert {"Compression ratio", "Quench"} <= {one.title for one in answer.effects}


@pytest.mark.parametrize(
    ("assumed", "expected"),
    [
        ("head_mill=0.010 in", "did you mean head_milled"),
        ("colour=red", "one of base_circle_diameter"),
        ("head_milled", "needs a value: --with head_milled='0.010 in'"),
        ("head_milled=10", "has no unit"),
        ("pedestal_raised=0.030 in", "no pedestal to raise"),
    ],
)
def test_a_wrong_call_says_what_would_do(assumed: str, expected: str) -> None:
    with pytest.raises(UsageError, match=expected):
        what_if(as_it_is(SIX).facts, [assumed])


@pytest.mark.parametrize(
    ("assumed", "expected"),
    [
        (
            "gasket_thickness=0.9 in",
            "0.9 in is implausible for compressed gasket thickness; 0.004 to 0.5 in is accepted; did",
        ),
        ("head_milled=1e9 in", "1e9 in is implausible for head milled; -6 to 6 in is accepted"),
        ("chamber_volume=0.1 cc", "0.1 cc is implausible for chamber volume; 1 to 50000 cc is accepted"),
        ("head_height=3.5 mm", "3.5 mm is implausible for head height"),
    ],
)
def test_what_its_file_would_call_implausible_is_not_assumed(
    assumed: str, expected: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["advise", str(ROOT / SIX), "--with", assumed]) == 2
    out, err = capsys.readouterr()
    assert (out, err.startswith(f"buildcheck: --with {assumed.partition('=')[0]}: {expected}")) == ("", True)


def test_no_gasket_at_all_may_be_assumed_as_it_may_be_written(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["advise", str(ROOT / SIX), "--with", "gasket_thickness=0 in"]) == 0
    assert "Assumed: gasket thickness 0 in (absolute, now " in capsys.readouterr().out


def test_a_size_needs_the_present_one_to_compare_with() -> None:
    with pytest.raises(UsageError, match="base_circle_diameter is missing in cam"):
        what_if(as_it_is(FLAT).facts, ["base_circle_diameter=1.000 in"])


def test_the_command_answers_in_text_and_in_json(capsys: pytest.CaptureFixture[str]) -> None:
    call = ["advise", str(ROOT / SIX), "--with", "head_milled=0.030 in"]
    assert main(call) == 0
    out = capsys.readouterr().out
    assert "intake: Required length, middle of the measured valves: 9.460 in ± 0.0170 in → 9.430 in" in out
    assert "order then: 12 pushrods + 1 spare of 9.400 in (gauge length)" in out
    assert main([*call, "--format", "json"]) == 0
    result = json.loads(capsys.readouterr().out)
    assert result["effects"][0]["change"]["text"] == "-0.0300 in"
    assert result["order"]["then"][0]["length"]["text"] == "9.400 in"


def test_before_anything_is_measured_the_change_alone_is_reported(tmp_path: Path) -> None:
    shutil.copytree(ROOT / SIX, tmp_path / "build")
    (tmp_path / "build" / "marks.yaml").unlink()
    answer = what_if(run([tmp_path / "build"]).builds[0].facts, ["head_milled=0.010 in"])
    assert answer.effects[0].title == "Change of required length"
    assert (answer.effects[0].now, change(answer.effects[0]) / INCH) == (None, pytest.approx(-0.010))
    assert answer.after.lines == ()


@pytest.mark.parametrize("folder", [SIX, EIGHT, FLAT, "tests/builds/inline_four_pad"])
@pytest.mark.parametrize("valve", ["intake", "exhaust"])
def test_the_length_that_represents_a_type_is_the_middle_one_or_the_shorter_of_two(folder: str, valve: str) -> None:
    lengths = dict(quantities(as_it_is(folder).facts))["length_asked"]
    asked = [value.si for subject, value in lengths.items() if subject.valve == valve]
    now = effects(folder, "head_milled=0.010 in")[valve, "Required length, middle of the measured valves"].now
    assert len(asked) > 1
    assert now is not None
    assert now.si == median_low(asked)


def test_the_preload_reported_is_that_of_the_valve_in_the_middle(tmp_path: Path) -> None:
    six_one_less = (
        "marks.yaml",
        "  - {cylinder: 7, valve: intake, crank: 648 deg, trials: [{length: 190.74 mm}]}\n",
        "",
    )
    own = facts(tmp_path, EIGHT, six_one_less)
    asked = dict(quantities(own))["length_asked"]
    lengths = {value.si: subject for subject, value in asked.items() if subject.valve == "intake"}
    found = what_if(own, ["pedestal_raised=0.1 mm"]).effects
    [now] = [one.now for one in found if (one.subject.valve, one.title) == ("intake", "Preload, same pushrods")]
    assert len(lengths) == 5
    assert now == own.get("preload", lengths[median(lengths)])


def test_without_the_lines_only_the_pivots_move_is_reported(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """0.010 in off the head under a nut: 0.010 in / (cos 4° + 1/1.6) higher, from who knows where."""
    build = lay_out(tmp_path, trials("length: 9.400 in, mark: {from: 0.140 in, to: 0.180 in}"))
    assert main(["advise", str(build), "--with", "head_milled=0.010 in"]) == 0
    assert "\n  intake: Pivot height lost above the valve tip: -0.0062 in\n" in capsys.readouterr().out


@pytest.mark.parametrize("again", ["block_milled=0.010 in", "block_milled = 0.25 mm"])
def test_a_part_assumed_twice_is_refused(capsys: pytest.CaptureFixture[str], again: str) -> None:
    """Lengths would be the sum of both, quench and compression the last alone."""
    given = ["--with", "block_milled=0.010 in", "--with", "head_milled=0.010 in", "--with", again]
    assert main(["advise", str(ROOT / SIX), *given]) == 2
    result = capsys.readouterr()
    assert result.out == ""
    assert "--with block_milled is given 2 times: give the total once" in result.err
