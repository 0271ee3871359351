"""The keys that others script against in the JSON of plan, advice and what-if, and what stands under them."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from altered import EIGHT, SIX, altered, as_it_is

from buildcheck.advice.measuring_plan import make_plan
from buildcheck.advice.valve_advice import advice
from buildcheck.advice.what_if import what_if
from buildcheck.output import advice_json
from buildcheck.output import what_if_output as whatif
from buildcheck.output.plan.plan_json import write

VALUE = {"si", "text", "expanded_uncertainty_si"}
ANGLE = {"deg", "text"}


def paths(data: Any, top: str = "") -> Iterator[str]:
    """Every leaf's path, list places left out."""
    children = (
        data.items() if isinstance(data, dict) else (("[]", one) for one in data) if isinstance(data, list) else ()
    )
    for key, child in children:
        yield from paths(child, f"{top}.{key}" if top else key)
    if not isinstance(data, dict | list):
        yield top


def under(top: str, keys: set[str]) -> set[str]:
    return {f"{top}.{key}" for key in keys}


NEXT_READINGS = (
    under("next_readings", {"risk", "risk_limit", "may_stop"})
    | under("next_readings.readings.[]", {"required", "decides", "changes_order", "risk_after"})
    | under("next_readings.readings.[].subject", {"cylinder", "valve"})
)


def plan() -> dict[str, Any]:
    found = as_it_is(SIX)
    return dict(json.loads(write(found, make_plan(found.facts))))


def test_keys_of_the_plan() -> None:
    stop, cylinder = "stops.[]", "cylinders.[]"
    events = (
        "fires",
        "intake_opens",
        "intake_closes",
        "exhaust_opens",
        "exhaust_closes",
        "both_shut.from",
        "both_shut.to",
    )
    wanted = {
        "schema",
        "version",
        "folder",
        "name",
        "watch.[]",
        f"{stop}.beside",
        f"{cylinder}.cylinder",
        f"{cylinder}.companion",
    }
    wanted |= under("margins.intake", ANGLE) | under("margins.exhaust", ANGLE) | under(f"{stop}.crank", ANGLE)
    wanted |= under(f"{stop}.valves.[]", {"cylinder", "valve", "measured"})
    wanted |= under(f"{stop}.valves.[].heel.from", ANGLE) | under(f"{stop}.valves.[].heel.to", ANGLE)
    wanted |= {path for event in events for path in under(f"{cylinder}.{event}", ANGLE)}
    assert set(paths(plan())) == wanted | NEXT_READINGS


@pytest.mark.parametrize(
    ("cylinder", "event", "degrees"),
    [  # the demo's card: 25 before, 59 after, 67 before and 21 after the dead centres; cylinder 3 fires at 240
        (1, "fires", 0), (1, "intake_opens", 335), (1, "intake_closes", 599), (1, "exhaust_opens", 113),
        (1, "exhaust_closes", 381), (3, "fires", 240), (3, "intake_opens", 575), (3, "exhaust_closes", 621),
        (3, "intake_closes", 839 - 720), (4, "fires", 600), (4, "exhaust_opens", 713),
    ],
)  # fmt: skip
def test_each_cylinders_events_count_from_its_own_firing(cylinder: int, event: str, degrees: float) -> None:
    [own] = [one for one in plan()["cylinders"] if one["cylinder"] == cylinder]
    assert own[event]["deg"] == pytest.approx(degrees)


def test_companions_stand_a_turn_apart() -> None:
    """1-5-3-6-2-4: 1 with 6, 5 with 2, 3 with 4."""
    assert {one["cylinder"]: one["companion"] for one in plan()["cylinders"]} == {1: 6, 6: 1, 5: 2, 2: 5, 3: 4, 4: 3}


def test_every_stop_lies_on_the_base_circles_of_its_valves() -> None:
    for stop in plan()["stops"]:
        for valve in stop["valves"]:
            start, end = (valve["heel"][side]["deg"] for side in ("from", "to"))
            assert (stop["crank"]["deg"] - start) % 720 <= (end - start) % 720


def advised() -> dict[str, Any]:
    found = as_it_is(SIX)
    return dict(json.loads(advice_json.write(found, advice(found.facts))))


def test_keys_of_the_advice() -> None:
    one = "advice.[]"
    words = {
        "place",
        "roller",
        "mount",
        "free",
        "basis",
        "reason",
        "off_centre",
        "moved",
        "marked",
        "turns",
        "needs_work",
    }
    wanted = (
        {"schema", "version", "folder", "name", "lacking", "readings_assumed_to_apply"}
        | under(one, words)
        | under(f"{one}.subject", {"cylinder", "valve"})
    )
    for key in ("offset", "width", "least", "margin", "height_error", "length_asked", "preload"):
        wanted |= under(f"{one}.{key}", VALUE)
    wanted |= under(f"{one}.sure", {"si", "text"})
    steps = {
        "action",
        "why",
        "trial",
        "height",
        "length",
        "length_with_cap",
        "reading",
        "turns",
        "turns_in_all",
        "good_to",
        "may_stay",
        "held_open",
        "wrong_parts",
        "shim",
    }
    wanted |= under(f"{one}.step", steps)
    wanted |= under(f"{one}.texts", {"mark", "pivot", "next", "sure", "length", "adjuster"})
    wanted |= under("not_measured.[]", {"cylinder", "valve"})
    assert set(paths(advised())) == wanted | NEXT_READINGS


def test_texts_of_the_advice_are_those_of_the_values_beside_them() -> None:
    for one in advised()["advice"]:
        assert one["length_asked"]["text"] in one["texts"]["length"]
        assert one["sure"]["text"] in one["texts"]["sure"]
        assert one["margin"]["text"] in one["texts"]["mark"]
        assert f"{one['turns']:.2f} turns" in one["texts"]["adjuster"]


def asked(folder: str, *assumed: str) -> dict[str, Any]:
    found = as_it_is(folder)
    return dict(json.loads(whatif.data(found, what_if(found.facts, assumed))))


def test_keys_of_a_what_if() -> None:
    one, line = "effects.[]", "order.{}.[]"
    result = asked(SIX, "head_milled=0.030 in")
    wanted = (
        {"schema", "version", "folder", "name", "assumed.head_milled", "assumed_as.head_milled"}
        | under("untold.[]", {"what", "reason"})
        | under(one, {"title", "said"})
        | {f"{one}.subject.valve"}
    )
    wanted |= under(f"{one}.now", VALUE) | under(f"{one}.then", VALUE) | under(f"{one}.change", {"si", "text"})
    for state in ("now", "then"):
        own = line.format(state)
        wanted |= under(own, {"stated_as", "gauge_hole", "count", "spares", "stock"})
        wanted |= under(f"{own}.length", {"si", "text"})
        wanted |= under(f"{own}.serves.[]", {"cylinder", "valve"}) | under(f"{own}.assumed.[]", {"cylinder", "valve"})
    assert set(paths(result)) == wanted
    assert result["assumed"] == {"head_milled": "0.030 in"}


def test_where_only_the_change_is_known_now_and_then_are_null() -> None:
    told = asked("tests/builds/flat_four_solid", "pedestal_raised=0.010 in")
    screws = [one for one in told["effects"] if one["title"] == "Adjuster screw, same pushrods"]
    assert [(one["now"], one["then"], one["change"]["text"]) for one in screws] == [(None, None, "0.0171 in")] * 2


def test_a_what_if_in_words(tmp_path: Path) -> None:
    found = altered(tmp_path, EIGHT, ("block.yaml", "rod_length: 156.5 mm\n", ""))
    lines = whatif.text(found, what_if(found.facts, ["head_milled=0.20 mm"])).splitlines()
    assert lines[2] == "Assumed: head milled 0.20 mm (added)."
    assert "  not known then, dynamic compression: rod_length is missing in block.yaml" in lines
    preload = next(line for line in lines if line.startswith("  intake: Preload, same pushrods: "))
    assert preload.endswith(", +0.200 mm")
    assert lines[-2].startswith("  order now: 8 pushrods + 2 spares of 192.00 mm (full ball length); ")
    assert lines[-1].startswith("  order then: ")
