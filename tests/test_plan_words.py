"""The bench sheet's words: where the wheel stands, what to mind on this rocker, how few stops there are."""

from __future__ import annotations

import pytest

from buildcheck.advice.measuring_plan import MeasuringPlan, Stop, ValveStop
from buildcheck.core.subject import Subject
from buildcheck.output.plan import plan_wording as words
from buildcheck.record import replace

VALVE = ValveStop(Subject(1, "intake"), (323.0, 253.0), False)
SHEET = MeasuringPlan(
    (Stop(108.0, "at", (VALVE, VALVE)), Stop(400.0, "at", (VALVE,))),
    (),
    {"intake": 10.0, "exhaust": 10.0},
    True,
    True,
    False,
)


@pytest.mark.parametrize(
    ("crank", "text"),
    [
        (0.0, "degree wheel at 0 deg of the first turn"),
        (359.5, "degree wheel at 359.5 deg of the first turn"),
        (360.0, "degree wheel at 0 deg of the second turn"),
        (467.0, "degree wheel at 107 deg of the second turn"),
    ],
)
def test_where_the_degree_wheel_is(crank: float, text: str) -> None:
    assert words.wheel(crank) == text


@pytest.mark.parametrize(
    ("angle", "text"), [(108.0, "108 deg"), (107.504, "107.5 deg"), (107.25, "107.25 deg"), (0.0, "0 deg")]
)
def test_degrees_have_decimals_only_where_there_are_any(angle: float, text: str) -> None:
    assert words.degrees(angle) == text
    assert words.heel_text((angle, 253.0)) == f"{text.removesuffix(' deg')} to 253 deg"


@pytest.mark.parametrize(
    ("margins", "text"),
    [
        ({"intake": 10.0, "exhaust": 10.0}, "10 deg"),
        ({"intake": 10.0, "exhaust": 12.5}, "10 deg (intake) and 12.5 deg (exhaust)"),
    ],
)
def test_margins_are_reported_once_where_they_are_alike(margins: dict[str, float], text: str) -> None:
    assert words.margins_text(replace(SHEET, margins=margins)) == text


@pytest.mark.parametrize(
    ("stops", "text"),
    [
        (SHEET.stops, "2 stops in two turns of the crank serve 3 valves, the fewest possible."),
        (SHEET.stops[1:], "1 stop in two turns of the crank serves 1 valve, the fewest possible."),
        ((), "Every valve has a reading. The plan is complete."),
    ],
)
def test_how_few_stops_serve_all(stops: tuple[Stop, ...], text: str) -> None:
    assert words.lead(replace(SHEET, stops=stops)).startswith(text)


@pytest.mark.parametrize(
    ("roller", "bolted", "count"), [(True, True, 7), (True, False, 6), (False, True, 6), (False, False, 5)]
)
def test_what_to_mind_depends_on_tip_and_mount(roller: bool, bolted: bool, count: int) -> None:
    result = list(words.instructions(replace(SHEET, roller=roller, bolted=bolted)))
    assert (len(result), words.BOLTED in result, result[-1] == words.LINES) == (count, bolted, roller)
    assert not bolted or result.index(words.BOLTED) < result.index(words.BEFORE_EACH[2])


@pytest.mark.parametrize("screws", [True, False])
def test_screws_are_set_before_anything_is_read(screws: bool) -> None:
    result = list(words.instructions(replace(SHEET, screws=screws)))
    assert (words.SCREWS in result) is screws
    assert not screws or result.index(words.SCREWS) < result.index(words.BEFORE_EACH[2])
