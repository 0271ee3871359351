"""The order: conventions, spares, counts, what is assumed, chosen or made to length, and what keeps it open."""

from __future__ import annotations

from math import sqrt

import pytest
from judging import Judged

SIX, VEE, FLAT = "example_build", "tests/builds/vee_eight_mm", "tests/builds/flat_four_solid"
STOCK = "stock:\n  - from: 9.000 in\n    to: 9.900 in\n    step: 0.050 in\n    stated_as: gauge\n"
STOCK += "    gauge_hole: 0.120 in        # the hole of the maker's gauge, as he stated it\n"


def caps(radius: float, hole: float) -> float:
    return 2 * (radius - sqrt(radius**2 - hole**2 / 4))


def test_conventions_of_one_pushrod_worked_out_again(judged: Judged) -> None:
    """9.500 in over the supplier's gauge with a 0.120 in hole, rods with 0.080 in oil holes in 5/16 in balls."""
    chosen = "chosen: {intake: 9.500 in, exhaust: 9.500 in, stated_as: gauge, gauge_hole: 0.120 in}\n"
    result = judged(SIX, ("pushrods.yaml", "", chosen))
    length = result.build["quantities"]["chosen_length"]["1/intake"]["si"] / 0.0254
    assert length == pytest.approx(9.500 + caps(5 / 32, 0.120) - caps(5 / 32, 0.080), abs=1e-9)
    assert result.lines() == [("9.500 in", 12, True)]


@pytest.mark.parametrize(
    ("convention", "longer"),
    [
        ("overall", 0.0),
        ("full ball", caps(5 / 32, 0.080)),
        ("gauge, gauge_hole: 0.120 in", caps(5 / 32, 0.080) - caps(5 / 32, 0.120)),
    ],
)
def test_a_length_stated_in_any_convention_is_the_same_pushrod(judged: Judged, convention: str, longer: float) -> None:
    written = f"{9.530 + longer:.6f} in"
    chosen = f"chosen: {{intake: {written}, exhaust: {written}, stated_as: {convention}}}\n"
    result = judged(SIX, ("pushrods.yaml", "", chosen))
    assert result.build["quantities"]["chosen_length"]["4/exhaust"]["si"] == pytest.approx(9.530 * 0.0254, abs=2e-8)
    assert [line["length"]["text"] for line in result.build["order"]["lines"]] == [f"{9.530 + longer:.3f} in"]


def test_two_suppliers_gauges_are_two_lines(judged: Judged) -> None:
    """The same figure over another hole is another rod: one long enough for the exhausts, one short for the intakes."""
    lists = [
        f"{{from: 9.371 in, to: 9.371 in, step: 0.050 in, stated_as: gauge, gauge_hole: {h} in}}"
        for h in (0.14, 0.2804)
    ]
    lines = judged(SIX, ("pushrods.yaml", STOCK, f"stock: [{', '.join(lists)}]\n")).build["order"]["lines"]
    assert [(line["length"]["text"], line["gauge_hole"], line["count"]) for line in lines] == [
        ("9.371 in", "0.14 in", 6),
        ("9.371 in", "0.2804 in", 6),
    ]


def test_counts_spares_and_assumed_valves(judged: Judged) -> None:
    [line] = judged(SIX, ("pushrods.yaml", "spares: 1", "spares: 3")).build["order"]["lines"]
    assert (line["count"], line["spares"], line["stock"]) == (12, 3, True)
    measured = {(1, "intake"), (2, "intake"), (3, "intake"), (6, "intake")}
    measured |= {(1, "exhaust"), (3, "exhaust"), (5, "exhaust"), (6, "exhaust")}
    assert {(one["cylinder"], one["valve"]) for one in line["serves"]} == measured
    assert len(line["assumed"]) == 4


def test_without_a_stock_list_the_length_is_made(judged: Judged) -> None:
    result = judged(SIX, ("pushrods.yaml", STOCK, ""))
    assert [(count, stock) for _, count, stock in result.lines()] == [(12, False)]
    assert set(result.kinds("length-orderable").values()) == {"pass"}


def test_a_stock_that_serves_nobody_is_refused(judged: Judged) -> None:
    result = judged(SIX, ("pushrods.yaml", "from: 9.000 in\n    to: 9.900 in", "from: 9.000 in\n    to: 9.200 in"))
    assert set(result.kinds("length-orderable").values()) == {"fail"}
    assert [stock for _, _, stock in result.lines()] == [False]


@pytest.mark.parametrize(
    ("chosen", "kind"),
    [("9.500 in", "pass"), ("9.600 in", "fail"), ("9.300 in", "fail")],
)
def test_lengths_chosen_are_judged_instead_of_the_proposed(judged: Judged, chosen: str, kind: str) -> None:
    line = f"chosen: {{intake: {chosen}, exhaust: 9.500 in, stated_as: gauge, gauge_hole: 0.120 in}}\n"
    result = judged(SIX, ("pushrods.yaml", "", line))
    assert result.kinds("length-orderable")["1/intake"] == kind
    assert result.kinds("length-orderable")["1/exhaust"] == "pass"


def test_a_valve_without_a_chosen_length_is_open_and_blocks(judged: Judged) -> None:
    line = "chosen: {intake: 9.500 in, stated_as: gauge, gauge_hole: 0.120 in}\n"
    result = judged(SIX, ("pushrods.yaml", "", line))
    assert result.lines() == [("9.500 in", 6, True)]
    assert ("length-orderable", "1/exhaust") in result.blocking()
    assert {one["valve"] for one in result.build["order"]["open"]} == {"exhaust"}


def test_a_gauge_hole_smaller_than_the_oil_hole_reads_as_a_caliper(judged: Judged) -> None:
    result = judged("example_build", ("pushrods.yaml", "gauge_hole: 0.120 in", "gauge_hole: 0.060 in"))
    [line] = result.build["order"]["lines"]
    overall = result.build["quantities"]["chosen_length"]["1/intake"]["si"]
    assert line["length"]["si"] == pytest.approx(overall, abs=1e-9)


def test_a_gauge_hole_wider_than_the_ball_contradicts(judged: Judged) -> None:
    wide = ("pushrods.yaml", "gauge_hole: 0.120 in", "gauge_hole: 0.320 in")
    result = judged(SIX, wide, options=["--stage", "planning"])
    assert ("length-orderable", "1/intake") in result.blocking()
    assert result.build["order"]["lines"] == []


def test_a_stock_of_cupped_pushrods_stated_over_a_gauge_is_open(judged: Judged) -> None:
    result = judged(FLAT, ("pushrods.yaml", "stated_as: overall}", "stated_as: gauge, gauge_hole: 0.120 in}"))
    assert (result.code, result.verdict, result.build["order"]["lines"]) == (1, "open", [])
    assert "A cup end has no gauge length" in result.result("length-orderable", "1/intake")["message"]


def test_a_stock_list_that_runs_backwards_is_no_order(judged: Judged) -> None:
    backwards = "stock: [{from: 9.9 in, to: 9.0 in, step: 0.05 in, stated_as: overall}]\n"
    result = judged(SIX, ("pushrods.yaml", STOCK, backwards))
    assert result.verdict == "fail"
    assert ("parts-consistent", "") in result.blocking()


def test_an_empty_stock_list_is_no_list(judged: Judged) -> None:
    result = judged(SIX, ("pushrods.yaml", STOCK, "stock: []\n"))
    assert [(one["file"], one["path"]) for one in result.build["errors"]] == [("pushrods.yaml", "stock")]


def test_the_vee_eights_two_types_get_a_length_each(judged: Judged) -> None:
    lines = judged(VEE).build["order"]["lines"]
    served = [(line["count"], {one["valve"] for one in line["serves"]}) for line in lines]
    assert served == [(8, {"intake"}), (8, {"exhaust"})]


@pytest.mark.parametrize(
    ("limit", "verdict", "rods"), [("0.100 in", "pass", [12]), ("0 in", "fail", []), ("-1 in", "fail", [])]
)
def test_the_loosest_limit_and_limits_below_nothing(judged: Judged, limit: str, verdict: str, rods: list[int]) -> None:
    own = ("build.yaml", "limits:\n", f"limits:\n  geometry-at-mid-lift: {{at_most: {limit}, because: a trial}}\n")
    result = judged(SIX, own)
    assert (result.verdict, [count for _, count, stock in result.lines() if stock]) == (verdict, rods)
