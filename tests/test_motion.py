"""Measured motion: what cam, rocker and piston do while the crank turns, from motion.yaml to the finding."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from motion_engines import INCH, MovingEngine, with_least_gap
from rewritten import as_it_is, kinds, results, rewritten

from buildcheck.app.build_check import CheckedBuild
from buildcheck.cli.main import main
from buildcheck.core.subject import Subject

SIX = "tests/builds/inline_six_closed"
FIRST = Subject(1, "intake")
ANGLES = (-40, -30, -20, -15, -10, -5, 0, 5, 10, 15, 20, 30, 40, 60, *range(70, 150, 5))


@cache
def engine(**changes: object) -> MovingEngine:
    """The intake of cylinder 1 as the six's own files describe it, with a least gap of 0.120 in."""
    given = {
        "lobe": "polynomial", "lift": 0.448 * INCH, "duration": 264.0, "nose": 107.0, "stroke": 3.765 * INCH,
        "rod": 6.310 * INCH, "slant": 12.0, "face": "flat", "room": 0.0,
    } | changes  # fmt: skip
    return with_least_gap(MovingEngine(**given), 0.120 * INCH)  # type: ignore[arg-type]


@cache
def motion(one: MovingEngine, angles: tuple[float, ...] = ANGLES, drops: tuple[float, ...] = (5,)) -> str:
    """motion.yaml of its exact readings."""
    lines = []
    for angle in angles:
        lift, gap = (float(read(np.array(float(angle)))) / INCH for read in (one.valve_lift, one.gap))
        drop = f", drop: {gap:.6f} in" if angle in drops else ""
        lines.append(f"      - {{crank: {angle + 360} deg, lift: {lift:.6f} in{drop}}}\n")
    head = "wheel: {uncertainty: 0.5 deg, tdc: piston stop}\nvalves:\n"
    return head + "  - cylinder: 1\n    valve: intake\n    at: valve\n    readings:\n" + "".join(lines)


def checked(tmp_path: Path, text: str, *edits: tuple[str, str, str]) -> CheckedBuild:
    build = "motion.yaml"
    own = (Path(__file__).parent / "builds" / "inline_six_closed" / build).read_text(encoding="utf-8")
    return rewritten(tmp_path, SIX, (build, own, text), *edits)


def message(found: CheckedBuild, rule: str) -> str:
    [one] = results(found, rule)
    return str(one.message)


def test_exact_readings_give_the_gap_that_the_simulated_engine_has(tmp_path: Path) -> None:
    one = engine()
    found = checked(tmp_path, motion(one))
    gap, at = found.facts.get("piston_gap_least", FIRST), found.facts.get("piston_gap_at", FIRST)
    assert abs(gap.si - one.least()[0]) <= gap.expanded < 0.006 * INCH
    assert abs(at.si - 360 - one.least()[1]) < 2


@pytest.mark.parametrize("vague", ["", " +/- 0.030 in"])
def test_a_lift_that_turns_back_blocks_however_uncertain_it_is_stated(tmp_path: Path, vague: str) -> None:
    found = rewritten(tmp_path, SIX, ("motion.yaml", "lift: 0.0135 in", f"lift: 0.0005 in{vague}"))
    assert (found.exit_code, kinds(found, "lift-readings-in-order")) == (1, {"fail", "pass"})


def test_centreline_and_lift_are_those_of_the_lobe(tmp_path: Path) -> None:
    facts = checked(tmp_path, motion(engine())).facts
    assert facts.get("measured_centreline", FIRST).si == pytest.approx(107.0, abs=0.2)
    assert facts.get("measured_advance", Subject(1)).si == pytest.approx(0.0, abs=0.2)
    assert facts.get("measured_lift", FIRST).si == pytest.approx(0.448 * INCH, abs=0.0003 * INCH)


def test_a_cam_four_degrees_ahead_is_found(tmp_path: Path) -> None:
    found = checked(tmp_path, motion(engine(nose=103.0)))
    assert found.facts.get("advance_error", Subject(1)).si == pytest.approx(4.0, abs=0.2)
    assert kinds(found, "cam-installed-as-card") == {"fail"}


def test_the_advance_in_cam_yaml_is_the_intended_one(tmp_path: Path) -> None:
    found = checked(tmp_path, motion(engine(nose=103.0)), ("cam.yaml", "", "advance: 4 deg\n"))
    assert kinds(found, "cam-installed-as-card") == {"pass"}


def test_the_shipped_engine_passes_every_rule_of_motion() -> None:
    found = as_it_is(SIX)
    rules = ("cam-installed-as-card", "lobe-separation-as-card", "rocker-ratio-as-stated", "lift-lost",
             "piston-gap-over-curve", "drops-agree", "tdc-by-stop", "lift-readings-in-order")  # fmt: skip
    assert {rule: kinds(found, rule) for rule in rules} == {rule: {"pass"} for rule in rules}
    assert found.facts.get("measured_ratio", FIRST).si == pytest.approx(1.588, abs=0.007)


def test_a_build_without_motion_has_no_results_of_it() -> None:
    assert kinds(as_it_is("example_build"), "piston-gap-over-curve") == set()
    assert kinds(as_it_is("example_build"), "tdc-by-stop") == set()


@pytest.mark.parametrize(("least", "kind"), [(0.120, "pass"), (0.081, "open"), (0.060, "fail"), (-0.002, "fail")])
def test_the_least_gap_is_held_to_the_limit_of_the_static_one(tmp_path: Path, least: float, kind: str) -> None:
    one = with_least_gap(engine(), least * INCH)
    found = checked(tmp_path, motion(one, drops=(20,)))
    assert kinds(found, "piston-gap-over-curve") == {kind}
    [result] = results(found, "piston-gap-over-curve")
    assert result.blocks == (kind != "pass")


def test_another_limit_for_the_static_gap_holds_for_the_curve(tmp_path: Path) -> None:
    stricter = "limits:\n  piston-to-valve: {at_least: 0.130 in, because: aluminium connecting rods}"
    found = checked(tmp_path, motion(engine()), ("build.yaml", "limits:", stricter))
    assert kinds(found, "piston-gap-over-curve") == {"fail"}


def test_on_a_diesel_the_limit_of_the_curve_waits_for_the_maker(tmp_path: Path) -> None:
    diesel, own = ("block.yaml", "cylinders: 6\n", "cylinders: 6\nfuel: diesel\n"), "because: the maker's manual}"
    maker = "build.yaml", "limits:", f"limits:\n  piston-to-valve: {{at_least: 0.040 in, {own}"
    assert kinds(checked(tmp_path / "a", motion(engine()), diesel), "piston-gap-over-curve") == {"open"}
    assert kinds(checked(tmp_path / "b", motion(engine()), diesel, maker), "piston-gap-over-curve") == {"pass"}
    touching = motion(with_least_gap(engine(), -0.002 * INCH), drops=(20,))
    assert kinds(checked(tmp_path / "c", touching, diesel), "piston-gap-over-curve") == {"fail"}


@pytest.mark.parametrize("face", ["flat", "pocket"])
def test_a_face_that_is_not_entered_gives_the_smaller_gap(tmp_path: Path, face: str) -> None:
    one = engine(slant=25.0, face=face)
    steeper = ("heads.yaml", "angle: 12 deg +/- 0.5 deg", "angle: 25 deg")
    found = checked(tmp_path, motion(one, drops=(20,)), steeper, ("block.yaml", "piston_face: flat\n", ""))
    gap = found.facts.get("piston_gap_least", FIRST)
    assert gap.si <= one.least()[0] + gap.expanded
    assert "the smaller gap counts" in gap.remark


def test_a_second_drop_that_fits_passes_and_one_that_does_not_fails(tmp_path: Path) -> None:
    text = motion(engine(), drops=(5, 20))
    assert kinds(checked(tmp_path / "a", text), "drops-agree") == {"pass"}
    line = next(line for line in text.splitlines() if "380 deg" in line)
    wrong = line.replace("drop: 0.", "drop: 0.9")
    found = checked(tmp_path / "b", text.replace(line, wrong))
    assert kinds(found, "drops-agree") == {"fail"}
    assert "20 deg after TDC" in message(found, "drops-agree")


BAD = {
    "out of order": ("crank: 385 deg", "crank: 355.5 deg", "lift-readings-in-order", "enter the readings in running"),
    "repeated": ("crank: 365 deg", "crank: 360 deg", "lift-readings-in-order", "crank 360 deg is entered twice"),
    "falls on the way up": ("crank: 440 deg, lift: 0.", "crank: 440 deg, lift: 0.1", "lift-readings-in-order",
                            "falls on the way up: read this crank angle and the one before again"),
}  # fmt: skip


@pytest.mark.parametrize("case", BAD)
def test_readings_that_cannot_be_true_fail_at_their_place(tmp_path: Path, case: str) -> None:
    old, new, rule, expected = BAD[case]
    text = motion(engine()).replace("crank: 390 deg", "crank: 385 deg")
    assert old in text
    found = checked(tmp_path, text.replace(old, new))
    [result] = results(found, rule)
    assert (result.kind, result.blocks, result.place.file) == ("fail", True, "motion.yaml")
    assert result.place.line > 6
    assert expected in result.message
    assert kinds(found, "piston-gap-over-curve") == {"open"}
    assert "the other valves are not affected" in message(found, "piston-gap-over-curve")


def without(text: str, first: int, last: int) -> str:
    """Without the readings of some crank angles."""
    gone = [f"crank: {crank} deg" for crank in range(first, last + 1)]
    return "".join(line + "\n" for line in text.splitlines() if not any(each in line for each in gone))


def test_one_flank_only_says_which_reading_completes_it(tmp_path: Path) -> None:
    found = checked(tmp_path, without(motion(engine()), 475, 520))
    shown = message(found, "cam-installed-as-card")
    assert "The closing flank was not read far enough: read it down to 0.0500 in below full lift" in shown
    assert "the gap to the piston is not affected" in shown
    assert kinds(found, "piston-gap-over-curve") == {"pass"}


def test_a_flank_read_barely_far_enough_says_so(tmp_path: Path) -> None:
    """The lowest reading is 0.0503 in below full lift: with its uncertainty that may be too high."""
    text = without(motion(engine()), 490, 520)
    lowest = "crank: 490 deg, lift: 0.3977 in}\n"
    found = checked(tmp_path, f"{text}      - {{{lowest}")
    assert "The closing flank was not read far enough" in message(found, "cam-installed-as-card")


def test_a_nose_that_was_not_passed_leaves_the_gap_known(tmp_path: Path) -> None:
    found = checked(tmp_path, without(motion(engine()), 465, 520))
    shown = message(found, "lift-lost")
    assert "do not pass the nose: read on after the last crank angle until the lift falls on both sides" in shown
    assert "the gap to the piston is not affected" in shown
    assert kinds(found, "piston-gap-over-curve") == {"pass"}


def test_drops_without_lift_say_that_lift_is_missing(tmp_path: Path) -> None:
    text = "valves:\n  - {cylinder: 1, valve: intake, at: valve, readings: [{crank: 370 deg, drop: 0.188 in}]}\n"
    found = checked(tmp_path, text)
    shown = message(found, "piston-gap-over-curve")
    assert "Without lift a drop is the gap at crank 370 deg alone: read the lift every 5 deg" in shown
    assert results(found, "piston-gap-over-curve")[0].blocks


def test_a_missing_valve_angle_leaves_the_lift_known(tmp_path: Path) -> None:
    found = checked(tmp_path, motion(engine()), ("heads.yaml", "    angle: 12 deg +/- 0.5 deg\n", ""))
    shown = message(found, "piston-gap-over-curve")
    assert "valves.intake.angle is missing in heads.yaml; the lift curve is not affected" in shown
    assert kinds(found, "lift-lost") == {"pass"}


def test_a_gap_that_still_falls_where_the_readings_end_is_undecided(tmp_path: Path) -> None:
    found = checked(tmp_path, without(motion(engine(), drops=(0,)), 365, 520))
    assert "may be smaller after 0 deg after TDC" in message(found, "piston-gap-over-curve")


def test_readings_far_apart_around_the_least_gap_are_undecided(tmp_path: Path) -> None:
    found = checked(tmp_path, motion(engine(), angles=(-60, -30, -10, 20, 40, 80, 100, 120), drops=(-10,)))
    assert "too far apart" in message(found, "piston-gap-over-curve")


def test_a_timing_mark_widens_the_uncertainty_and_warns(tmp_path: Path) -> None:
    text = motion(engine())
    by_stop = checked(tmp_path / "a", text).facts.get("measured_centreline", FIRST)
    found = checked(tmp_path / "b", text.replace("piston stop", "timing mark"))
    assert kinds(found, "tdc-by-stop") == {"fail"}
    assert found.facts.get("measured_centreline", FIRST).expanded > by_stop.expanded + 1


def test_json_gives_the_crank_angle_of_the_least_gap(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", SIX, "--format", "json"]) == 0
    assert '"piston_gap_least": {"1/intake": {"si": ' in (out := capsys.readouterr().out)
    assert '"at": {"deg": 364.375, "text": "364.4 deg"}' in out


def test_the_measured_lift_replaces_lobe_times_ratio_and_says_so(tmp_path: Path) -> None:
    low = engine(lift=0.430 * INCH)
    found = checked(tmp_path, motion(low))
    expected = 0.430 * INCH
    assert found.facts.get("valve_lift", Subject(None, "intake")).si == pytest.approx(expected, abs=0.0003 * INCH)
    assert found.facts.get("valve_lift", Subject(None, "exhaust")).si == pytest.approx(0.285 * 1.6 * INCH)
    for rule in ("coil-bind-clearance", "retainer-to-seal", "open-force", "pushrod-buckling"):
        [judged] = results(found, rule, "intake")
        assert "lift as read in motion.yaml" in judged.message
    narrowest = found.facts.get("mark_width_least", Subject(None, "intake"))
    assert narrowest.remark == "lift as read in motion.yaml"


@pytest.mark.parametrize("lash", ["0.010", "0.020"])
def test_lash_while_reading_is_added_to_the_measured_lift_and_the_lash_to_run_taken_off(
    tmp_path: Path, lash: str
) -> None:
    solid = "tests/builds/flat_four_solid"
    text = motion(engine()).replace("at: valve", f"at: valve\n    lash: {lash} in")
    found = rewritten(tmp_path, solid, ("motion.yaml", "", text))
    lift = found.facts.get("valve_lift", Subject(None, "intake")).si / INCH
    assert lift == pytest.approx(0.448 + float(lash) - 0.015, abs=0.0003)


def test_the_base_circle_is_taken_from_the_measured_rise(tmp_path: Path) -> None:
    angles = (-60, -50, -40, *range(-30, 240, 10), 250, 260)
    at_050 = ("cam.yaml", "duration_at: 0.006 in", "duration_at: 0.050 in")
    by_card = checked(tmp_path / "a", motion(engine()), at_050)
    by_rise = checked(tmp_path / "b", motion(engine(), angles), at_050)
    assert by_card.facts.get_or_none("heel_from", FIRST) is None
    opens, closes = by_rise.facts.get("heel_to", FIRST).si, by_rise.facts.get("heel_from", FIRST).si
    assert opens == pytest.approx(360 - 20 - 10)
    assert closes == pytest.approx(360 + 230 + 10)


def test_a_rise_read_with_lash_is_not_the_end_of_the_base_circle(tmp_path: Path) -> None:
    text = motion(engine(), (-60, -40, *range(-30, 240, 10), 250, 260)).replace(
        "at: valve", "at: valve\n    lash: 0.01 in"
    )
    found = checked(tmp_path, text)
    card = as_it_is("tests/builds/inline_six_closed").facts.get("heel_from", FIRST)
    assert found.facts.get("heel_from", FIRST).si == card.si


def test_an_unknown_state_or_cylinder_is_an_error_at_its_place(tmp_path: Path) -> None:
    unknown = checked(tmp_path / "a", motion(engine()).replace("at: valve", "at: valve\n    state: before"))
    [problem] = unknown.problems
    assert (problem.place.file, problem.place.line, problem.path) == ("motion.yaml", 6, "valves[0].state")
    assert problem.message == "unknown state 'before'; enter it under states in marks.yaml"
    two = "\nstates:\n  - {name: then, parts: {}}\n  - {name: now, parts: {}}\nvalves:"
    missing = checked(tmp_path / "c", motion(engine()), ("marks.yaml", "\nvalves:", two))
    own = [one for one in missing.problems if one.place.file == "motion.yaml"]
    assert [(one.place.line, one.path) for one in own] == [(3, "valves[0]")]
    assert own[0].message == "enter the state that the engine was in: one of 'then', 'now'"
    other = checked(tmp_path / "b", motion(engine()).replace("cylinder: 1", "cylinder: 9"))
    assert [one.path for one in other.problems] == ["valves[0].cylinder"]
    assert "there is no cylinder 9" in other.problems[0].message


@pytest.mark.parametrize("count", [1, 2])
def test_one_or_two_lifts_are_no_curve(tmp_path: Path, count: int) -> None:
    found = checked(tmp_path, motion(engine(), angles=(5, 10)[:count], drops=(5,)))
    assert "A curve has three lifts or more: read the lift every 5 deg" in message(found, "piston-gap-over-curve")
    assert "do not pass the nose" in message(found, "lift-lost")


@pytest.mark.parametrize("step", [0.0005, 0.001, 0.002])
def test_equal_lifts_around_the_nose_do_not_make_the_full_lift_uncertain(tmp_path: Path, step: float) -> None:
    """A dial shows one lift at several crank angles around the nose."""
    text = re.sub(
        r"lift: ([0-9.]+)", lambda found: f"lift: {round(float(found[1]) / step) * step:.4f}", motion(engine())
    )
    gauge = f"gauge: {{name: dial indicator, resolution: {step} in}}\n"
    facts = checked(tmp_path, gauge + text).facts
    lift, centreline = facts.get("measured_lift", FIRST), facts.get("measured_centreline", FIRST)
    assert abs(lift.si - 0.448 * INCH) <= lift.expanded < 0.004 * INCH
    assert abs(centreline.si - 107) <= centreline.expanded < 3


def test_a_plateau_at_the_last_reading_is_no_nose_that_was_passed(tmp_path: Path) -> None:
    text = without(motion(engine()), 470, 520)
    for crank in (455, 460, 465):
        text = re.sub(f"crank: {crank} deg, lift: [0-9.]+", f"crank: {crank} deg, lift: 0.447", text)
    assert "do not pass the nose: read on after the last" in message(checked(tmp_path, text), "lift-lost")


def test_the_report_shows_that_the_lift_was_read() -> None:
    report = (Path(__file__).parent.parent / SIX / "REPORT.md").read_text(encoding="utf-8")
    row = next(line for line in report.splitlines() if line.startswith("| Valve lift `valve_lift` |"))
    assert row.endswith("(lift as read in motion.yaml) |")


def test_another_cylinder_is_read_from_its_own_overlap(tmp_path: Path) -> None:
    """Cylinder 5 fires 120 deg after cylinder 1, so its overlap is at 480 deg."""
    text = re.sub(r"crank: ([0-9]+) deg", lambda found: f"crank: {(int(found[1]) + 120) % 720} deg", motion(engine()))
    facts = checked(tmp_path / "a", text.replace("cylinder: 1", "cylinder: 5")).facts
    own = checked(tmp_path / "b", motion(engine())).facts
    for name in ("piston_gap_least", "measured_centreline", "measured_lift"):
        assert facts.get(name, Subject(5, "intake")).si == pytest.approx(own.get(name, FIRST).si, rel=1e-9)
    assert facts.get("piston_gap_at", Subject(5, "intake")).si == own.get("piston_gap_at", FIRST).si + 120


def test_a_drop_at_the_lifter_is_a_fault(tmp_path: Path) -> None:
    found = checked(tmp_path, motion(engine()).replace("at: valve", "at: lifter"))
    assert "is entered at the lifter: a drop is read at the valve" in message(found, "lift-readings-in-order")
    assert kinds(found, "lift-readings-in-order") == {"fail"}


def test_a_nose_between_distant_readings_is_undecided(tmp_path: Path) -> None:
    """The parabola through three distant readings has its summit far above all of them."""
    found = checked(tmp_path, motion(engine(), angles=(-20, 0, 20, 72, 139, 150, 170), drops=(0,)))
    assert "The readings around the nose are too far apart: read every 5 deg there" in message(
        found, "cam-installed-as-card"
    )
