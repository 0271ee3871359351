"""Preload and lash of the warm engine, from the files to the result; worked out again with another package."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from rewritten import as_it_is, kinds, results, rewritten
from uncertainties import ufloat

from buildcheck.core.subject import Subject
from buildcheck.core.value import Undecided
from buildcheck.output.report.adjuster_rows import settings

INCH, MM, TRADE = 0.0254, 0.001, "tests/builds/flat_four_solid"
ALUMINIUM, IRON, STEEL = (23e-6, 1.5e-6), (11e-6, 0.4e-6), (12e-6, 0.7e-6)


def grown(length: float, material: tuple[float, float], rise: float) -> Any:
    coefficient, expanded = material
    return length * ufloat(coefficient, expanded / 2) * rise


def test_gap_of_the_demo_with_stems_hotter_than_the_head() -> None:
    """Iron block, aluminium head; 66 to 190 degF; the exhaust's stem at 520 degF lifts its tip past the pivot."""
    rise, stems = 124 / 1.8, {"intake": (4.920, 250), "exhaust": (4.905, 520)}
    rod = 9.4255 * INCH
    for valve, (stem, degrees) in stems.items():
        head = ufloat(ALUMINIUM[0], ALUMINIUM[1] / 2)
        pivot = grown(5.260 * INCH, IRON, rise) + 4.198 * INCH * head * rise
        tip = pivot + grown(stem * INCH, STEEL, (degrees - 66) / 1.8) - stem * INCH * head * rise
        gap = pivot * (1 + 1 / 1.6) - tip / 1.6 - grown(rod, STEEL, rise)
        found = as_it_is("example_build").facts.get("gap_growth", Subject(None, valve))
        assert found.si == pytest.approx(gap.nominal_value, abs=2e-7)
        assert found.expanded == pytest.approx(2 * gap.std_dev, rel=0.01)


def test_an_aluminium_head_takes_preload_and_a_hot_exhaust_stem_gives_it_back() -> None:
    facts = as_it_is("example_build").facts
    cold, intake, exhaust = (
        facts.get(name, Subject(1, valve)).si
        for name, valve in (("preload", "intake"), ("preload_hot", "intake"), ("preload_hot", "exhaust"))
    )
    assert intake < cold < exhaust


def test_preload_at_the_bottom_of_its_range_is_gone_hot(tmp_path: Path) -> None:
    found = rewritten(
        tmp_path, "example_build", ("rockers.yaml", "turns: 0.5", "turns: 0.32 +/- 0.01"), stage="assembled"
    )
    assert kinds(found, "preload-in-range") == {"pass"}
    assert (kinds(found, "preload-hot", "intake"), kinds(found, "preload-hot", "exhaust")) == ({"fail"}, {"pass"})
    assert not any(one.blocks for one in results(found, "preload-hot"))


def test_an_exhaust_without_its_stem_is_open_and_an_intake_assumes(tmp_path: Path) -> None:
    edits = [("heads.yaml", f"    stem_temperature: {degrees} degF\n", "") for degrees in (250, 520)]
    found = rewritten(tmp_path, "example_build", *edits)
    assert (kinds(found, "preload-hot", "intake"), kinds(found, "preload-hot", "exhaust")) == ({"pass"}, {"open"})
    intake, exhaust = (results(found, "preload-hot", valve)[0].message for valve in ("intake", "exhaust"))
    assert "the valve tip is assumed to rise with the rocker pivot" in intake
    assert "exhaust.stem_temperature is missing" in exhaust


def test_temperatures_left_out_are_assumed_and_said(tmp_path: Path) -> None:
    found = rewritten(
        tmp_path, "example_build", ("build.yaml", "temperatures: {assembly: 66 degF, running: 190 degF}", "")
    )
    message = results(found, "preload-hot")[0].message
    assert "assembly at 68 degF (20 degC) assumed; running at 200 degF (93 degC) assumed" in message


def test_an_unknown_metal_is_requested_by_its_name(tmp_path: Path) -> None:
    found = rewritten(tmp_path, "example_build", ("block.yaml", "grey cast iron", "magnesium alloy"))
    result = results(found, "preload-hot")[0]
    assert (result.kind, result.place.file) == ("open", "block.yaml")
    assert (
        "'magnesium alloy' names no metal with a known expansion: write one of aluminium alloy, austenitic"
        in result.message
    )


def test_lash_of_an_aluminium_engine_opens_as_it_warms() -> None:
    """23e-6·(6.400 + 4.150) − 12e-6·10.588 in over 160 degF, × 1.4, on 0.015 in cold: before anything is set."""
    found = as_it_is(TRADE).facts.get("lash_hot", Subject(1, "intake"))
    gap = (23e-6 * (6.400 + 4.150) - 12e-6 * 10.588) * 160 / 1.8
    assert found.si / INCH == pytest.approx(0.015 + 1.4 * gap, abs=2e-6)


def test_lash_stated_hot_is_set_hot(tmp_path: Path) -> None:
    """The pushrod then is longer than with the same lash stated cold, by what the gap grows."""
    found = rewritten(tmp_path, TRADE, ("cam.yaml", "lash_at: cold", "lash_at: hot"))
    valve = Subject(1, "intake")
    hot, cold = (each.facts.get("length_asked", valve).si for each in (found, as_it_is(TRADE)))
    assert hot - cold == pytest.approx(found.facts.get("gap_growth", Subject(None, "intake")).si)
    assert found.facts.get("lash_hot", valve).si == pytest.approx(0.015 * INCH)


def test_lash_of_which_nobody_shows_whether_it_is_cold_is_taken_so_and_said(tmp_path: Path) -> None:
    found = rewritten(tmp_path, TRADE, ("cam.yaml", "lash_at: cold\n", ""))
    result, length_reason = (results(each, "lash-hot")[0] for each in (as_it_is(TRADE), found))
    assert (length_reason.kind, length_reason.margin) == (result.kind, result.margin)
    assert "lash_at is not entered: the lash of the cam card is taken as cold" in length_reason.message
    assert "lash_at" not in result.message


FIXED = [
    ("rockers.yaml", "adjuster: screw", "adjuster: none"),
    ("rockers.yaml", "adjuster_range: 0.100 in\nscrew_at: 0.020 in\n", ""),
    ("pushrods.yaml", "spares: 1", "spares: 1\nchosen: {intake: 10.575 in, exhaust: 10.575 in, stated_as: overall}"),
]


def test_a_pushrod_without_adjuster_leaves_the_hot_lash_that_the_card_asks(tmp_path: Path) -> None:
    hot = rewritten(tmp_path / "hot", TRADE, *FIXED, ("cam.yaml", "lash_at: cold", "lash_at: hot"))
    cold = rewritten(tmp_path / "cold", TRADE, *FIXED)
    valve = Subject(1, "intake")
    grown = cold.facts.get("lash_hot", valve).si - cold.facts.get("lash", valve).si
    assert grown == pytest.approx(1.4 * cold.facts.get("gap_growth", Subject(None, "intake")).si)
    assert hot.facts.get("lash", valve).si == pytest.approx(cold.facts.get("lash", valve).si + grown)


def test_a_hot_lash_with_their_growth_is_not_reported_is_where_a_screw_takes_it_up(tmp_path: Path) -> None:
    length_reason = [("cam.yaml", "lash_at: cold", "lash_at: hot"), ("heads.yaml", "height: 4.150 in\n", "")]
    valve = Subject(1, "intake")
    screw = rewritten(tmp_path / "screw", TRADE, *length_reason).facts
    assert screw.get("length_asked", valve).si == as_it_is(TRADE).facts.get("length_asked", valve).si
    output = "thermal expansion is not subtracted from the hot lash: height is missing in heads.yaml"
    assert {screw.get(name, valve).remark for name in ("length_asked", "length_misfit", "adjuster_stand")} == {output}
    assert screw.get("lash_turns", Subject(None, "intake")).remark == output
    assert any(f"of lash hot ({output})" in clause for clause in settings(screw))
    assert as_it_is(TRADE).facts.get("length_asked", valve).remark == ""
    with pytest.raises(Undecided, match="height is missing"):
        rewritten(tmp_path / "none", TRADE, *length_reason, *FIXED).facts.get("length_asked", valve)


def test_the_card_s_hot_lash_represents_one_to_be_set_and_not_for_what_a_pushrod_leaves(tmp_path: Path) -> None:
    length_reason = [("cam.yaml", "lash_at: cold", "lash_at: hot"), ("heads.yaml", "height: 4.150 in\n", "")]
    assert kinds(rewritten(tmp_path / "screw", TRADE, *length_reason), "lash-hot") == {"pass"}
    rod = rewritten(tmp_path / "none", TRADE, *length_reason, *FIXED)
    assert kinds(rod, "lash-in-range") == kinds(rod, "lash-hot") == {"open"}
