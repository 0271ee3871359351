"""Ways that few builds take: what is refused, left open or told there, held by a build that takes each of them."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest
from altered import SIX, altered, facts
from bench import PEDESTAL, STUD, judged, lay_out, trials
from rewritten import ROOT, Worded, kinds, results
from test_compare_causes import BIND, CONCEDED
from test_compare_causes import result as causes

from buildcheck.app.build_check import CheckedBuild
from buildcheck.cli.main import main
from buildcheck.core.subject import Subject
from buildcheck.core.value import NotApplicable

IN = 0.0254
FIRST = Subject(1, "intake")


def result(found: CheckedBuild, rule: str) -> Worded:
    [one] = [one for one in found.results if (one.rule, one.subject) == (rule, FIRST)]
    return Worded(found, one)


def test_on_a_fixed_mount_a_shim_moves_the_mark_and_no_pushrod_does(tmp_path: Path) -> None:
    """Section 3: q = a * (open_at - shut_at) / L, to first order."""
    found = judged(tmp_path, trials("length: 9.400 in, shut_at: 0.1210 in, open_at: 0.1357 in"), rockers=PEDESTAL)
    lift = found.facts.get("valve_lift", FIRST).si
    assert found.facts.get("shim_for_mark", FIRST).si == pytest.approx(1.550 * IN * 0.0147 * IN / lift, rel=0.02)
    with pytest.raises(NotApplicable, match="a shim moves this mark"):
        found.facts.get("length_change_for_mark", FIRST)


def test_a_mark_that_ran_off_shows_no_height(tmp_path: Path) -> None:
    one = result(
        judged(tmp_path, trials("length: 9.400 in, mark: {from: 0 in, to: 0.040 in}"), rockers=STUD),
        "geometry-at-mid-lift",
    )
    assert (one.kind, one.value) == ("open", None)
    assert "the height error is large" in one.message


def test_a_mark_that_ran_off_has_no_centre_to_calculate_from(tmp_path: Path) -> None:
    row = "length: 9.400 in, mark: {from: 0 in, to: 0.020 in}, shut_at: 0.0030 in, open_at: 0.0177 in"
    one = result(judged(tmp_path, trials(row)), "off-centre-at-narrowest")
    assert (one.kind, "reaches the valve tip edge" in one.message) == ("open", True)


@pytest.mark.parametrize(
    ("old", "new", "lacking"),
    [
        ("yield_strength: 60 ksi\n", "", "yield_strength is missing"),
        ("material: steel", "material: aluminium alloy", "elastic_modulus of aluminium alloy is missing"),
    ],
)
def test_pushrods_of_unknown_strength_or_metal_are_left_open(tmp_path: Path, old: str, new: str, lacking: str) -> None:
    found = altered(tmp_path, SIX, ("pushrods.yaml", old, new))
    assert kinds(found, "pushrod-buckling") == {"open"}
    assert lacking in results(found, "pushrod-buckling")[0].message


def test_advice_on_a_fixed_mount_keeps_to_that_mount_s_limit(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    build = lay_out(tmp_path, trials("length: 9.400 in, shut_at: 0.1210 in, open_at: 0.1270 in"), rockers=PEDESTAL)

    def action() -> str:
        assert main(["advise", str(build), "--format", "json"]) == 0
        return str(json.loads(capsys.readouterr().out)["advice"][0]["step"]["action"])

    first, path = action(), build / "build.yaml"
    own = "limits:\n  geometry-fixed-mount: {at_most: 0.005 in, because: a trial}\n"
    path.write_text(path.read_text(encoding="utf-8").replace("limits:\n", own), encoding="utf-8")
    assert (first, action()) == ("none", "change height")


def test_growth_is_reported_where_the_first_valve_of_a_type_was_not_measured(tmp_path: Path) -> None:
    found = judged(tmp_path, trials("length: 9.4255 in, mark: {from: 0.146 in, to: 0.163 in}", cylinder=2))
    assert found.facts.get("gap_growth", Subject(None, "intake")).si > 0


def test_the_stage_is_a_cause_only_where_it_made_something_due(tmp_path: Path) -> None:
    stage = ("build.yaml", "stage: ordering", "stage: assembled")
    assert [one[2] for one in causes(tmp_path, [], [BIND, stage])] == [("inputs",)]


def test_inputs_that_improved_are_reported_beside_another_cause(tmp_path: Path) -> None:
    assert [one[2] for one in causes(tmp_path, [BIND, CONCEDED], [])] == [("concession", "inputs")]


def test_the_index_shows_what_needs_review_what_lacks_and_what_was_delivered(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shutil.copytree(ROOT / "tests/builds/inline_six_closed", tmp_path / "closed")
    shutil.copytree(ROOT / SIX, tmp_path / "bare")
    (tmp_path / "bare" / "marks.yaml").unlink()
    (tmp_path / "buildcheck.yaml").write_text("{}\n", encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    main(["report", "--index"])
    text = (tmp_path / "BUILDS.md").read_text(encoding="utf-8")
    bare, closed = [line for line in text.splitlines() if line.startswith("| [")]
    assert bare.endswith("| 12 valves without a length |")
    assert " rules to review (not blocking) |" in bare
    assert closed.endswith("| delivered: 12 pushrods + 1 spare of 9.450 in (gauge length) |")


def test_two_trials_that_contradict_each_other_are_reported(tmp_path: Path) -> None:
    rows = [
        "length: 9.300 in, shut_at: 0.128 in, open_at: 0.150 in",
        "length: 9.400 in, shut_at: 0.175 in, open_at: 0.150 in",
    ]
    assert (
        "trials 1 and 2 disagree, and the readings do not show which is wrong"
        in result(judged(tmp_path, trials(*rows)), "trial-consistency").message
    )


def test_a_written_aim_is_aimed_at(tmp_path: Path) -> None:
    """The demo's range is 0.020 to 0.060 in, and its turns are written: without them the aim counts."""
    turns = ("rockers.yaml", "adjuster_turns: 0.5 ", "note: turns to come ")
    aim = ("cam.yaml", "preload: {at_least: 0.020 in, ", "preload: {aim: 0.030 in, at_least: 0.020 in, ")
    assert facts(tmp_path, SIX, turns, aim).get("preload", FIRST).si == pytest.approx(0.030 * IN)


def test_a_measured_lift_replaces_the_calculated_one(tmp_path: Path) -> None:
    lift = ("clearances.yaml", "intake:\n", "intake:\n  valve_lift: 0.440 in\n")
    assert facts(tmp_path, SIX, lift).get("valve_lift", Subject(None, "intake")).si == pytest.approx(0.440 * IN)
