"""Rods as they came, against what was ordered: the worst of them, which way, within what, and how many count."""

from __future__ import annotations

from math import sqrt
from pathlib import Path

import pytest
from altered import CLOSED, altered, facts
from rewritten import Edit, results

from buildcheck.build.facts import Facts
from buildcheck.core.value import NotApplicable, Undecided

IN = 0.0254
LOG = "as_built.yaml"
CAME = (
    "{length: 9.464 in +/- 0.001 in, count: 13, run_out: 0.003 in +/- 0.001 in, stated_as: overall, "
    'note: "the box says 9.450, gauge"}'
)
TOLERANCE = ("pushrods.yaml", "length_tolerance: 0.002 in\n", "")
ORDERED = 9.450 + 2 * (sqrt(0.15625**2 - 0.04**2) - sqrt(0.15625**2 - 0.06**2))
"""9.450 in over the supplier's 0.120 in gauge, over both ends with their 0.080 in holes."""


def came(*rods: str) -> Edit:
    return (LOG, CAME, "\n  - ".join(f"{{{rod}}}" for rod in rods))


def known(tmp_path: Path, *rods: str, more: tuple[Edit, ...] = ()) -> Facts:
    return facts(tmp_path, CLOSED, came(*rods), *more)


@pytest.mark.parametrize(
    ("length", "way"),
    [("9.4680 in", "9.468 in, longer"), ("9.4610 in", "9.461 in, shorter"), ("9.52 in", "9.520 in, longer")],
)
def test_the_pushrod_farthest_off_is_reported_with_its_way(tmp_path: Path, length: str, way: str) -> None:
    rods = ["length: 9.4640 in, count: 5, stated_as: overall", f"length: {length}, count: 5, stated_as: overall"]
    for order in (rods, rods[::-1]):
        found = known(tmp_path / str(order[0] == rods[0]), *order).get("delivered_off_order")
        assert found.si / IN == pytest.approx(abs(float(length.split()[0]) - ORDERED), abs=1e-9)
        assert found.remark == f"{way} than ordered"


def test_a_pushrod_as_ordered_has_no_way(tmp_path: Path) -> None:
    found = known(tmp_path, "length: 9.450 in, count: 13, stated_as: gauge, gauge_hole: 0.120 in")
    assert (found.get("delivered_off_order").si, found.get("delivered_off_order").remark) == (
        pytest.approx(0, abs=1e-12),
        "",
    )


@pytest.mark.parametrize(("written", "expanded"), [("9.464 in", 0.002), ("9.464 in +/- 0.0005 in", 0.0005)])
def test_a_pushrod_is_as_uncertain_as_written_or_as_the_length_gauge(
    tmp_path: Path, written: str, expanded: float
) -> None:
    found = known(tmp_path, f"length: {written}, count: 13, stated_as: overall").get("delivered_off_order")
    assert found.expanded / IN == pytest.approx(expanded)


@pytest.mark.parametrize(
    ("edits", "tolerance"),
    [((), 0.002), ((TOLERANCE,), 0.002), ((("pushrods.yaml", "tolerance: 0.002", "tolerance: 0.005"),), 0.005)],
)
def test_the_makers_tolerance_counts_and_two_thousandths_without(
    tmp_path: Path, edits: tuple[Edit, ...], tolerance: float
) -> None:
    assert facts(tmp_path, CLOSED, *edits).get("delivery_tolerance").si / IN == pytest.approx(tolerance)


@pytest.mark.parametrize(
    ("off", "tolerance", "short"),
    [(0.0029, "0.002", 0), (-0.0029, "0.002", 0), (0.0031, "0.002", 12), (-0.0031, "0.002", 12), (0.0059, "0.005", 0)],
)
def test_a_pushrod_counts_within_its_tolerance_and_its_gauge(
    tmp_path: Path, off: float, tolerance: str, short: int
) -> None:
    """The gauge reads to 0.001 in."""
    rod = f"length: {ORDERED + off:.6f} in +/- 0.001 in, count: 13, stated_as: overall"
    wide = ("pushrods.yaml", "length_tolerance: 0.002 in", f"length_tolerance: {tolerance} in")
    assert known(tmp_path, rod, more=(wide,)).get("rods_short").si == short


@pytest.mark.parametrize(("counts", "short"), [((12,), 0), ((6, 6), 0), ((5, 4), 3), ((20,), 0)])
def test_boxes_of_one_length_are_counted_together(tmp_path: Path, counts: tuple[int, ...], short: int) -> None:
    rods = [f"length: 9.464 in +/- 0.001 in, count: {count}, stated_as: overall" for count in counts]
    found = known(tmp_path, *rods).get("rods_short")
    assert found.si == short
    assert found.remark == f"12 of 9.450 in (gauge length) needed, {sum(counts)} delivered"
    assert len(found.places) == len(counts)


OFF_HEEL = ("marks.yaml", "crank: 107 deg", "crank: 467 deg")
"""Number 1 intake read on the nose of its lobe: no length can be reported for it."""


@pytest.mark.parametrize(("count", "short"), [(11, 1), (12, 0)])
def test_a_pushrod_chosen_is_needed_even_where_its_valve_shows_no_length(
    tmp_path: Path, count: int, short: int
) -> None:
    rod = f"length: 9.464 in +/- 0.001 in, count: {count}, stated_as: overall"
    found = known(tmp_path, rod, more=(OFF_HEEL,)).get("rods_short")
    assert (found.si, found.remark) == (
        short,
        f"12 of 9.450 in (gauge length) needed, {count} delivered",
    )


def test_a_pushrod_is_held_against_the_length_chosen_for_such_a_valve(tmp_path: Path) -> None:
    intakes = (107, 587, 347, 707, 227, 467)
    off = [("marks.yaml", f"crank: {at} deg", f"crank: {(at + 300) % 720} deg") for at in intakes]
    longer = ("pushrods.yaml", "exhaust: 9.450 in, stated_as", "exhaust: 9.500 in, stated_as")
    rods = [f"length: {length} in +/- 0.001 in, count: 6, stated_as: overall" for length in (9.464, 9.514)]
    found = known(tmp_path, *rods, more=(longer, *off))
    assert found.get("delivered_off_order").si / IN == pytest.approx(9.464 - ORDERED, abs=1e-9)


def test_no_pushrod_is_short_only_once_every_valve_has_its_length(tmp_path: Path) -> None:
    nothing = (
        "pushrods.yaml",
        "chosen: {intake: 9.450 in, exhaust: 9.450 in, stated_as: gauge, gauge_hole: 0.120 in}",
        "",
    )
    with pytest.raises(Undecided, match="the length cannot be determined yet for cylinder 1 intake"):
        known(tmp_path, CAME[1:-1], more=(nothing, OFF_HEEL)).get("rods_short")


def test_the_worst_run_out_counts_and_is_shown(tmp_path: Path) -> None:
    rods = [f"length: 9.464 in, count: 4, run_out: {out} in, stated_as: overall" for out in ("0.003", "0.009", "0.001")]
    found = altered(tmp_path, CLOSED, came(*rods))
    [result] = results(found, "delivered-run-out")
    assert (result.kind, result.level, str(result.place)) == ("fail", "warning", "as_built.yaml:4:43")
    assert result.value is not None
    assert result.value.si / IN == pytest.approx(0.009)


def test_a_run_out_left_out_is_requested(tmp_path: Path) -> None:
    rods = [f"length: 9.464 in, count: 6, {out}stated_as: overall" for out in ("run_out: 0.003 in, ", "")]
    with pytest.raises(Undecided, match="run_out is missing"):
        known(tmp_path, *rods).get("delivered_run_out")


def test_nothing_delivered_is_open_and_not_short(tmp_path: Path) -> None:
    found = facts(tmp_path, CLOSED, (LOG, f"delivered:\n  - {CAME}\n", ""))
    for name in ("delivered_off_order", "rods_short", "delivered_run_out"):
        with pytest.raises(Undecided, match=r"delivered is missing in as_built\.yaml"):
            found.get(name)


@pytest.mark.parametrize(("side", "newton_metres"), [("least", 18 * 1.3558179483314), ("most", 22 * 1.3558179483314)])
def test_torques_requested_are_the_rockers_own(tmp_path: Path, side: str, newton_metres: float) -> None:
    assert facts(tmp_path, CLOSED).get(f"rocker_torque_{side}").si == pytest.approx(newton_metres)
    without = ("rockers.yaml", "torque: {at_least: 18 ft-lb, at_most: 22 ft-lb} ", "")
    with pytest.raises(NotApplicable, match="gives no torque"):
        facts(tmp_path / "without", CLOSED, without).get(f"rocker_torque_{side}")


@pytest.mark.parametrize(
    ("mount", "material", "least"),
    [
        ("stud", "aluminium alloy", 1.0),
        ("pedestal", "aluminium alloy", 1.5),
        ("pedestal", "Aluminum, T6", 1.5),
        ("pedestal", "A356 alloy", 1.5),
        ("pedestal", "magnesium", 1.5),
        ("pedestal", "aluminium alloy with cast iron seats", 1.5),
        ("pedestal", "grey cast iron", 1.0),
        ("pedestal", "gray iron", 1.0),
        ("pedestal", "ductile iron", 1.0),
        ("pedestal", "steel billet", 1.0),
    ],
)
def test_only_a_bolt_in_iron_holds_by_one_diameter(tmp_path: Path, mount: str, material: str, least: float) -> None:
    edits = [("heads.yaml", "material: aluminium alloy", f"material: {material}")]
    if mount != "stud":
        edits += [("rockers.yaml", "mount: stud\nadjuster: nut", f"mount: {mount}\nadjuster: none")]
        edits += [("rockers.yaml", "adjuster_turns: 0.5 ", "# "), ("rockers.yaml", "stud_lean: 0 deg\n", "")]
    assert facts(tmp_path, CLOSED, *edits).get("engagement_least").si == least


@pytest.mark.parametrize(
    ("edit", "expected"),
    [
        (("heads.yaml", "material: aluminium alloy\n", ""), "a bolt in a head without a material in heads.yaml"),
        (("heads.yaml", "aluminium alloy", "A356"), "a bolt in a head that is not known to be iron or steel"),
        (("heads.yaml", "aluminium alloy", "aluminum"), "a bolt in aluminium alloy"),
    ],
)
def test_a_bolt_of_one_diameter_fails_where_nobody_says_that_it_is_in_iron(
    tmp_path: Path, edit: Edit, expected: str
) -> None:
    edits = [edit, ("rockers.yaml", "mount: stud\nadjuster: nut", "mount: pedestal\nadjuster: none")]
    edits += [("rockers.yaml", "adjuster_turns: 0.5 ", "# "), ("rockers.yaml", "stud_lean: 0 deg\n", "")]
    result = results(altered(tmp_path, CLOSED, *edits), "thread-engagement")[0]
    assert (result.kind, result.blocks) == ("fail", True)
    assert f"1.12 ({expected}); minimum 1.5 (0.38 short)" in result.message
