"""What-ifs on a measured curve, held against the simulated engine that is really so."""

from __future__ import annotations

from dataclasses import replace
from math import cos, radians
from pathlib import Path

import pytest
from motion_engines import INCH, MovingEngine
from rewritten import as_it_is
from test_motion import FIRST, checked, engine, motion

from buildcheck.advice.what_if import WhatIf, what_if
from buildcheck.build.facts import Facts
from buildcheck.core.subject import Subject

GAP = "Minimum piston gap over the curve"


def gap_then(answer: WhatIf) -> float:
    [effect] = [one for one in answer.effects if (one.subject, one.title) == (FIRST, GAP)]
    return effect.then.si


def truth(before: MovingEngine, name: str) -> MovingEngine:
    by = {
        "cam_advance=4 deg": {"nose": before.nose - 4},
        "cam_advance=-3 deg": {"nose": before.nose + 3},
        "intake.ratio=1.7": {"lift": before.lift * 1.7 / 1.6},
        "head_milled=0.020 in": {"room": before.room - 0.020 * INCH / cos(radians(12))},
        "block_milled=0.010 in": {"room": before.room - 0.010 * INCH / cos(radians(12))},
        "seat_sunk=0.015 in": {"room": before.room + 0.015 * INCH},
    }[name]
    return replace(before, **by)


@pytest.fixture(scope="module")
def read(tmp_path_factory: pytest.TempPathFactory) -> Facts:
    return checked(tmp_path_factory.mktemp("read"), motion(engine())).facts


@pytest.mark.parametrize(
    "assumed",
    ["cam_advance=4 deg", "cam_advance=-3 deg", "intake.ratio=1.7", "head_milled=0.020 in", "block_milled=0.010 in",
     "seat_sunk=0.015 in"],
)  # fmt: skip
def test_a_what_if_gives_the_gap_of_the_engine_that_is_so(read: Facts, assumed: str) -> None:
    answer = what_if(read, [assumed])
    assert abs(gap_then(answer) - truth(engine(), assumed).least()[0]) < 0.002 * INCH
    assert abs(gap_then(answer) - engine().least()[0]) > 0.002 * INCH


def test_a_thicker_gasket_is_counted_with_the_factor_that_leaves_less(read: Facts) -> None:
    """From 1.07 mm to 1.57 mm: half a millimetre times the cosine of 12 deg, not over it."""
    answer = what_if(read, ["gasket_thickness=1.57 mm"])
    assert gap_then(answer) - read.get("piston_gap_least", FIRST).si == pytest.approx(0.0005 * cos(radians(12)))


def test_a_lash_cap_or_a_longer_stem_leaves_the_gap(read: Facts) -> None:
    answer = what_if(read, ["lash_cap=0.080 in"])
    assert [one for one in answer.effects if one.title == GAP] == []


@pytest.mark.parametrize("assumed", ["lobe_lift=0.300 in", "valve_arm=1.600 in"])
def test_another_cam_or_rocker_needs_its_own_curve(read: Facts, assumed: str) -> None:
    answer = what_if(read, [assumed])
    assert "the readings of motion are void" in dict(answer.undetermined)["piston gap of cylinder 1 intake"]


def test_an_advance_beyond_the_readings_is_undecided(read: Facts, tmp_path: Path) -> None:
    few = checked(tmp_path, motion(engine(), angles=(-15, -10, -5, 0, 5, 10, 15, 20)))
    assert few.facts.get_or_none("piston_gap_least", FIRST) is not None
    answer = what_if(few.facts, ["cam_advance=25 deg"])
    assert "where no lift was read" in dict(answer.undetermined)["piston gap of cylinder 1 intake"]


def test_the_same_cut_as_a_state_gives_the_same_gap(tmp_path: Path) -> None:
    text = motion(engine()).replace("at: valve", "at: valve\n    state: before")
    states = "states:\n  - {name: before, parts: {}}\n  - {name: now, changes: {head_milled: 0.020 in}, parts: {}}\n"
    marks = ("marks.yaml", "valves:\n", states + "valves:\n")
    named = [("clearances.yaml", "gauge:", "state: now\ngauge:")]
    own = (Path(__file__).parent / "builds/inline_six_closed/marks.yaml").read_text(encoding="utf-8")
    valves = [("marks.yaml", f"    crank: {crank} deg\n", f"    crank: {crank} deg\n    state: now\n")
              for crank in [line.split()[1] for line in own.splitlines() if line.startswith("    crank:")]]  # fmt: skip
    found = checked(tmp_path / "a", text, marks, *valves, *named)
    assert found.problems == ()
    answer = what_if(checked(tmp_path / "b", motion(engine())).facts, ["head_milled=0.020 in"])
    assert found.facts.get("piston_gap_least", FIRST).si == pytest.approx(gap_then(answer), abs=1e-12)


def test_without_a_curve_cam_timing_leaves_the_static_reading_undecided() -> None:
    answer = what_if(as_it_is("example_build").facts, ["cam_advance=4 deg"])
    assert "read lift and one drop into motion.yaml" in dict(answer.undetermined)["intake and exhaust piston to valve"]


def test_the_static_reading_loses_more_than_the_cut_at_a_valve_angle(read: Facts) -> None:
    answer = what_if(read, ["head_milled=0.020 in"])
    [one] = [e for e in answer.effects if (e.title, e.subject) == ("Piston to valve", Subject(None, "intake"))]
    assert one.now is not None
    assert one.now.si - one.then.si == pytest.approx(0.020 * INCH / cos(radians(12)))
