"""What pushrods that stay would give once a part has changed: lash, preload, screw and the pivot's height."""

from __future__ import annotations

from pathlib import Path

import pytest
from altered import EIGHT, FLAT, PAD_TIP, SIX, facts
from rewritten import Edit

from buildcheck.advice.what_if import Effect, what_if

IN, MM = 0.0254, 0.001
NO_SCREW: tuple[Edit, ...] = (
    ("rockers.yaml", "adjuster: screw\nadjuster_thread: 5/16-24\nadjuster_range: 0.100 in\nscrew_at: 0.020 in\n", ""),
    ("rockers.yaml", "mount: shaft\n", "mount: shaft\nadjuster: none\n"),
    ("pushrods.yaml", "", "chosen: {intake: 10.570 in, exhaust: 10.580 in, stated_as: overall}\n"),
)


def effects(tmp_path: Path, folder: str, assumed: list[str], *edits: Edit) -> dict[tuple[str, str], Effect]:
    return {(one.subject.key, one.title): one for one in what_if(facts(tmp_path, folder, *edits), assumed).effects}


def gained(effect: Effect) -> float:
    assert effect.now is not None
    return effect.then.si - effect.now.si


@pytest.mark.parametrize(
    ("assumed", "longer"), [("head_milled=0.010 in", -0.010), ("pedestal_raised=0.010 in", 0.010 * (1 + 1 / 1.4))]
)
def test_lash_grows_by_the_ratio_of_what_a_kept_pushrod_lacks(tmp_path: Path, assumed: str, longer: float) -> None:
    found = effects(tmp_path, FLAT, [assumed], *NO_SCREW)["intake", "Lash, same pushrods"]
    assert gained(found) / IN == pytest.approx(longer * 1.4)
    # the middle of 10.588, 10.589, 10.596 and 10.597 that is not above them
    assert found.now is not None
    assert found.now.si / IN == pytest.approx((10.589 - 10.570) * 1.4)


@pytest.mark.parametrize(
    ("assumed", "lower"),
    [
        (["pedestal_raised=0.5 mm"], -0.5),
        (["tip_higher=0.4 mm"], 0.4),
        (["tip_higher=0.4 mm", "pedestal_raised=0.5 mm"], -0.1),
    ],
)
def test_a_fixed_pivot_moves_by_what_it_and_the_tip_are_raised(
    tmp_path: Path, assumed: list[str], lower: float
) -> None:
    found = effects(tmp_path, EIGHT, assumed)
    for valve in ("intake", "exhaust"):
        result = (
            found.get((valve, "Pivot below mid-lift height")) or found[valve, "Pivot height lost above the valve tip"]
        )
        before = result.now.si if result.now is not None else 0.0
        assert (result.then.si - before) / MM == pytest.approx(lower)


def test_a_cut_that_moves_no_fixed_pivot_mentions_none(tmp_path: Path) -> None:
    found = effects(tmp_path, EIGHT, ["head_milled=0.2 mm"])
    assert not [title for _, title in found if "Pivot" in title]
    assert gained(found["intake", "Preload, same pushrods"]) / MM == pytest.approx(0.2)


def test_a_plain_tip_mentions_no_best_height(tmp_path: Path) -> None:
    found = effects(tmp_path, PAD_TIP, ["head_milled=0.2 mm"])
    assert not [title for _, title in found if "Pivot" in title]
    assert gained(found["intake", "Required length, middle of the measured valves"]) / MM == pytest.approx(-0.2)


@pytest.mark.parametrize(
    ("assumed", "nearer"),
    [
        (["head_milled=0.010 in"], 0.010),
        (["block_milled=0.010 in"], 0.010),
        (["gasket_thickness=1.324 mm"], -0.010),
        (["head_milled=0.010 in", "gasket_thickness=1.324 mm"], 0.0),
        (["lifter_cup_lower=0.010 in"], 0.0),
    ],
)
def test_pistons_come_nearer_by_what_is_cut_less_the_gasket(tmp_path: Path, assumed: list[str], nearer: float) -> None:
    result = effects(tmp_path, SIX, assumed).get(("intake", "Piston to valve"))
    assert (gained(result) / IN if result else 0.0) == pytest.approx(-nearer, abs=1e-9)
    assert (result is None) == (nearer == 0.0 and "head_milled" not in assumed[0])


@pytest.mark.parametrize(
    ("assumed", "cc"),
    [(["chamber_volume=74 cc"], -4.0), (["piston_volume=-3 cc"], -15.0), (["piston_volume=15 cc"], 3.0)],
)
def test_rooms_filled_again_change_the_compression_by_as_much(tmp_path: Path, assumed: list[str], cc: float) -> None:
    """ε = 1 + Vs/Vc, so that Vc = Vs/(ε − 1) shows the room before and after."""
    found = effects(tmp_path, SIX, assumed)["", "Compression ratio"]
    assert found.now is not None
    swept = 4.005**2 * 0.7853981633974483 * 3.765 * 16.387064
    assert swept / (found.then.si - 1) - swept / (found.now.si - 1) == pytest.approx(cc, abs=1e-6)


@pytest.mark.parametrize(("assumed", "has"), [("head_milled=0.2 mm", True), ("lifter_cup_lower=0.2 mm", False)])
def test_compression_is_reported_where_it_changes(tmp_path: Path, assumed: str, has: bool) -> None:
    titles = {title for _, title in effects(tmp_path, SIX, [assumed])}
    assert ({"Compression ratio", "Quench", "Dynamic compression ratio"} <= titles) is has


def test_what_cannot_be_determined_has_its_reason_by_what_it_is(tmp_path: Path) -> None:
    gone = ("heads.yaml", "chamber_volume: 78 cc ", "# ")
    undetermined = dict(what_if(facts(tmp_path, SIX, gone), ["head_milled=0.2 mm"]).undetermined)
    assert {"compression", "dynamic compression"} < set(undetermined)
    assert undetermined["compression"] == "chamber_volume is missing in heads.yaml"
