"""The required length, worked out again by hand for every mount: mark, lifter's cup, preload or lash, screw."""

from __future__ import annotations

from math import cos, radians, sqrt
from pathlib import Path

import pytest
from judging import Judged
from plain_tip import rise_to_middle
from rewritten import Edit, rewritten

from buildcheck.core.subject import Subject
from buildcheck.ordering.order import requirements_of

SIX, VEE, FLAT, PAD_TIP = (
    "example_build", "tests/builds/vee_eight_mm", "tests/builds/flat_four_solid", "tests/builds/inline_four_pad",
)  # fmt: skip
IN, MM = 0.0254, 0.001
LINES_ONLY = ("marks.yaml", "{length: 9.4250 in, mark: {from: 0.138 in, to: 0.165 in}, ", "{length: 9.4250 in, ")
NO_SCREW: tuple[Edit, ...] = (
    ("rockers.yaml", "adjuster: screw\nadjuster_thread: 5/16-24\nadjuster_range: 0.100 in\nscrew_at: 0.020 in\n", ""),
    ("rockers.yaml", "mount: shaft\n", "mount: shaft\nadjuster: none\n"),
)
TURNS = 0.5 / 24 * (cos(radians(4)) + 1 / 1.6)
CUPS = 1.905 - 1.890


def asked(tmp_path: Path, folder: str, subject: Subject, *edits: Edit) -> float:
    found = rewritten(tmp_path, folder, *edits)
    assert found.problems == ()
    return found.facts.get("length_asked", subject).si


def cap(radius: float, hole: float) -> float:
    return radius - sqrt(radius**2 - hole**2 / 4)


def contacts(shut_at: float, open_at: float, arm: float, lift: float) -> float:
    """q from both contact lines by halving: the height error at which the geometry leaves just them."""
    low, high = -arm / 2, arm / 2
    for _ in range(80):
        q = (low + high) / 2
        between = sqrt(arm**2 - (q + lift / 2) ** 2) - sqrt(arm**2 - (q - lift / 2) ** 2)
        low, high = (q, high) if between > shut_at - open_at else (low, q)
    return low


def test_stud_with_nut(tmp_path: Path) -> None:
    """Read over the checker's holes, moved by the mark, the stand-in's cup, and lengthened by the nut's turns."""
    read = 9.4250 + 2 * cap(5 / 32, 0.060) - 2 * cap(5 / 32, 0.080)
    moved = contacts(0.144, 0.143, 1.550, 0.280 * 1.6) * (cos(radians(4)) + 1 / 1.6)
    found = asked(tmp_path, SIX, Subject(2, "intake"), LINES_ONLY)
    assert found / IN == pytest.approx(read + moved + CUPS + TURNS, abs=2e-6)


def test_stud_with_nut_without_turns_leaves_room_for_the_aim(tmp_path: Path) -> None:
    turns = ("rockers.yaml", "adjuster_turns: 0.5 ", "# adjuster_turns: 0.5 ")
    with_turns = asked(tmp_path / "a", SIX, Subject(2, "intake"), LINES_ONLY)
    aimed = asked(tmp_path / "b", SIX, Subject(2, "intake"), LINES_ONLY, turns)
    assert (aimed - with_turns) / IN == pytest.approx((0.020 + 0.060) / 2 - TURNS)


@pytest.mark.parametrize(
    ("shut_at", "open_at", "longer"), [("0.140 in", "0.147 in", True), ("0.147 in", "0.140 in", False)]
)
def test_a_pivot_too_low_requires_a_longer_pushrod(tmp_path: Path, shut_at: str, open_at: str, longer: bool) -> None:
    lines = ("marks.yaml", "shut_at: 0.144 in, open_at: 0.143 in", f"shut_at: {shut_at}, open_at: {open_at}")
    found = rewritten(tmp_path, SIX, LINES_ONLY, lines).facts
    assert (found.get("height_error", Subject(2, "intake")).si > 0) == longer
    assert (found.get("length_change_for_mark", Subject(2, "intake")).si > 0) == longer


def test_fixed_rocker_on_hydraulic_lifters(tmp_path: Path) -> None:
    assert asked(tmp_path, VEE, Subject(2, "intake")) / MM == pytest.approx(190.74 + 1.00)


def test_fixed_rocker_allows_the_preload_range_less_its_guard_band(tmp_path: Path) -> None:
    known = {need.subject: need for need in requirements_of(rewritten(tmp_path, VEE).facts)[0]}
    guard = sqrt(0.03**2 + 0.06**2 + 0.05**2)
    [(low, high)] = known[Subject(2, "intake")].intervals
    assert (low / MM, high / MM) == (pytest.approx(191.24 + guard), pytest.approx(192.24 - guard))


def test_screw_and_solid_lifters(tmp_path: Path) -> None:
    """The screw stood 0.020 in towards the pushrod; the lash at the valve is 1/R as much at the pushrod."""
    assert asked(tmp_path, FLAT, Subject(3, "intake")) / IN == pytest.approx(10.589 + 0.020 - 0.015 / 1.4)
    assert asked(tmp_path / "b", FLAT, Subject(4, "exhaust")) / IN == pytest.approx(10.601 + 0.020 - 0.018 / 1.4)


def test_solid_lifters_without_any_adjuster(tmp_path: Path) -> None:
    assert asked(tmp_path, FLAT, Subject(3, "intake"), *NO_SCREW) / IN == pytest.approx(10.589 - 0.015 / 1.4)


def test_lash_that_a_chosen_pushrod_leaves(tmp_path: Path) -> None:
    chosen = ("pushrods.yaml", "", "chosen: {intake: 10.575 in, exhaust: 10.575 in, stated_as: overall}\n")
    lash = rewritten(tmp_path, FLAT, *NO_SCREW, chosen).facts.get("lash", Subject(3, "intake"))
    assert lash.si / IN == pytest.approx((10.589 - 10.575) * 1.4)


def test_plain_tip_is_centred(tmp_path: Path) -> None:
    """A mark 0.025 mm away from the pivot, 3.75 mm wide at 9.75 mm of lift on an arm of 36 mm: the pivot goes down."""
    down = -rise_to_middle(36.0, 9.75, 4.35 - 0.60, 0.025) * (cos(radians(5)) + 1 / 1.5)
    turns = 0.5 * 1.25 * (cos(radians(5)) + 1 / 1.5)
    assert asked(tmp_path, PAD_TIP, Subject(4, "intake")) / MM == pytest.approx(199.70 - down + turns, abs=1e-6)


def test_turns_of_the_checker_are_a_length(tmp_path: Path) -> None:
    """9.100 in and 9 turns of 28 to the inch, on the checker's own oil holes."""
    length = rewritten(tmp_path, SIX).facts.get("length_asked", Subject(6, "intake"))
    change = rewritten(tmp_path / "b", SIX).facts.get("length_change_for_mark", Subject(6, "intake"))
    read = 9.100 + 9 / 28 + 2 * cap(5 / 32, 0.060) - 2 * cap(5 / 32, 0.080)
    assert (length.si - change.si) / IN == pytest.approx(read + CUPS + TURNS)


@pytest.mark.parametrize(
    ("folder", "edit"),
    [
        (SIX, ("marks.yaml", "lifter_cup_height: 1.905 in\n", "")),
        (SIX, ("cam.yaml", "cup_height: 1.890 in ", "# ")),
        (VEE, ("marks.yaml", "lifter: locked", "lifter: solid")),
    ],
)
def test_a_stand_in_lifter_of_unknown_height_keeps_the_order_open(judged: Judged, folder: str, edit: Edit) -> None:
    result = judged(folder, edit)
    assert (result.verdict, result.build["order"]["lines"]) == ("open", [])
    assert ("length-orderable", "1/intake") in result.blocking()
    assert "lifter_cup_height" in result.result("length-orderable", "1/intake")["message"]


def test_preload_by_turns_as_planned_and_as_built(judged: Judged) -> None:
    each = "each: [{cylinder: 1, valve: intake, adjuster_turns: 0.75}]\n"
    result = judged(SIX, ("as_built.yaml", "", each)).build["quantities"]["preload"]
    assert result["2/exhaust"]["si"] / IN == pytest.approx(TURNS)
    assert result["1/intake"]["si"] / IN == pytest.approx(TURNS * 1.5)


SHIM_WANTED = "the pivot height changes first"


@pytest.mark.parametrize(
    ("old", "new"),
    [
        (
            "mark: {from: 3.25 mm, to: 4.10 mm}, shut_at: 3.40 mm, open_at: 3.60 mm",
            "shut_at: 3.40 mm, open_at: 4.60 mm",
        ),
        ("mark: {from: 3.25 mm, to: 4.10 mm}, shut_at: 3.40 mm, open_at: 3.60 mm", "mark: {from: 2.4 mm, to: 4.8 mm}"),
    ],
)
def test_a_shim_advised_and_not_fitted_keeps_the_order_open(judged: Judged, old: str, new: str) -> None:
    """With its sign read from the lines, and with a mark too wide for any sign."""
    result = judged(VEE, ("marks.yaml", old, new))
    reasons = {(one["cylinder"], one["valve"]): one["reason"] for one in result.build["order"]["open"]}
    assert reasons[3, "intake"].startswith(SHIM_WANTED)
    assert ("length-orderable", "3/intake") in result.blocking()


@pytest.mark.parametrize("fitted", ["shim: 0.30 mm", "note: none fitted"])
def test_a_trial_on_another_shim_than_is_fitted_keeps_the_order_open(judged: Judged, fitted: str) -> None:
    trial = ("marks.yaml", "{length: 190.69 mm, mark", "{length: 190.69 mm, shim: 0.75 mm, mark")
    result = judged(VEE, trial, ("rockers.yaml", "shim: 0.75 mm", fitted))
    assert "The shim of the last trial differs" in result.result("length-orderable", "1/intake")["message"]
    assert ("length-orderable", "1/intake") in result.blocking()


@pytest.mark.parametrize(("unmeasured", "bank"), [(4, (1, 2, 3)), (8, (5, 6, 7))])
def test_an_unmeasured_valve_takes_what_all_measured_ones_of_its_bank_allow(
    tmp_path: Path, unmeasured: int, bank: tuple[int, ...]
) -> None:
    known = {need.subject: need for need in requirements_of(rewritten(tmp_path, VEE).facts)[0]}
    own = [known[Subject(cylinder, "intake")].intervals[0] for cylinder in bank]
    assert known[Subject(unmeasured, "intake")].assumed
    assert known[Subject(unmeasured, "intake")].intervals == (
        (max(low for low, _ in own), min(high for _, high in own)),
    )


def test_the_pushrods_own_tolerance_joins_the_uncertainty_of_preload(tmp_path: Path) -> None:
    preload = rewritten(tmp_path, VEE).facts.get("preload", Subject(2, "intake"))
    assert preload.expanded / MM == pytest.approx(sqrt(0.03**2 + 0.06**2 + 0.05**2))
