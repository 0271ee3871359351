"""Order and rules computed twice: by the product, and from the trade's definitions alone, by other means."""

from __future__ import annotations

from collections import defaultdict
from typing import Any

import pytest
from product import result_on
from rules_again import Judged
from thorough import over_all_draws
from twice import DRAWN, SHIPPED, Twice, all_builds

each_build = pytest.mark.parametrize("name", [*SHIPPED, *DRAWN])


@pytest.fixture(scope="module")
def builds(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Twice]:
    return all_builds(tmp_path_factory.mktemp("drawn"))


@each_build
def test_the_files_are_read_without_complaint(builds: dict[str, Twice], name: str) -> None:
    assert builds[name].result["errors"] == []
    assert builds[name].result["order"]["open"] == []


@each_build
def test_every_measured_valve_requires_the_same_length(builds: dict[str, Twice], name: str) -> None:
    one = builds[name]
    asked = one.result["quantities"]["length_asked"]
    for key in one.measured:
        found = asked["{}/{}".format(*key)]
        allowance = 0.3 * found["expanded_uncertainty_si"] if one.engine.nut else 1e-9
        assert found["si"] == pytest.approx(one.wanted[key].asked, abs=allowance), key


@each_build
def test_the_same_pushrods_are_ordered(builds: dict[str, Twice], name: str) -> None:
    """Save where a stock length lies so near an interval's end that the weighing decides."""
    one = builds[name]
    less, more = one.either
    if less == more:
        sure = {key for key, want in one.wanted.items() if key in one.measured or want.spans}
        found = one.lengths()
        assert {key: found[key] for key in sure} == {key: less[key] for key in sure}
    else:
        assert one.lengths().keys() == one.wanted.keys()


@over_all_draws
def test_hardly_a_build_is_decided_by_the_weighing(builds: dict[str, Twice]) -> None:
    steady = [one.either[0] == one.either[1] for one in builds.values()]
    assert sum(steady) >= 0.9 * len(steady)


@over_all_draws
def test_the_draw_is_as_wide_as_it_says(builds: dict[str, Twice]) -> None:
    data = [one.engine.data for one in builds.values()]
    seen = {(one["rockers"]["mount"], one["rockers"]["adjuster"], one["cam"]["lifter"]["type"]) for one in data}
    assert len(seen) == 20
    rods = {(one["pushrods"]["measured_as"], one["pushrods"]["stock"][0]["stated_as"]) for one in data}
    assert len(rods) == 9
    lines = [line for one in builds.values() for line in one.result["order"]["lines"]]
    assert {line["stock"] for line in lines} == {True, False}
    assert any(len(one.result["order"]["lines"]) > 2 for one in builds.values())


@each_build
def test_every_line_counts_its_valves_and_carries_the_spares_requested(builds: dict[str, Twice], name: str) -> None:
    one = builds[name]
    for line in one.result["order"]["lines"]:
        assert line["count"] == len(line["serves"]) + len(line["assumed"])
        assert line["spares"] == one.engine.data["pushrods"].get("spares", 0)
    assert sum(line["count"] for line in one.result["order"]["lines"]) == 2 * one.engine.data["block"]["cylinders"]


def result(build: Twice, again: Judged) -> dict[str, Any]:
    return result_on(build.result, again.rule, again.valve, again.cylinder or 1)


@each_build
def test_every_rule_is_decided_alike(builds: dict[str, Twice], name: str) -> None:
    for again in builds[name].judged:
        found, margin = result(builds[name], again), min(room.nominal_value for room in again.rooms)
        assert found["value"]["si"] == pytest.approx(again.value.nominal_value, rel=1e-6, abs=1e-9), again
        assert found["margin"]["si"] == pytest.approx(margin, rel=1e-6, abs=1e-9), again
        assert found["kind"] == again.kind, again


@each_build
def test_every_value_is_as_uncertain(builds: dict[str, Twice], name: str) -> None:
    for again in builds[name].judged:
        found = result(builds[name], again)["value"].get("expanded_uncertainty_si", 0.0)
        assert found == pytest.approx(
            2 * again.value.std_dev, rel=0.02 if "motion" not in builds[name].engine.data else 0.05
        ), again


@over_all_draws
def test_rules_end_in_every_way(builds: dict[str, Twice]) -> None:
    ends = defaultdict(set)
    for one in builds.values():
        for again in one.judged:
            ends[again.rule].add(again.kind)
    assert len(ends) >= 16
    assert len([rule for rule, kinds in ends.items() if kinds == {"pass", "fail", "open"}]) >= 11
