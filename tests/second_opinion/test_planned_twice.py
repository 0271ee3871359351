"""The measuring plan worked out twice: heels from the cam card, and the fewest stops by trying every set of them."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path
from random import Random

import pytest
from drawn_readings import lay_out
from events_again import Cam, Key, within
from product import answer
from thorough import over_all_draws, sample
from twice import ROOT, SHIPPED
from written_amounts import files, one

DRAWN = sample(range(226, 242), 6)
Stop = tuple[float, dict[Key, tuple[float, float]]]
"""The crank, and the heel of each valve that is measured there."""
each_plan = pytest.mark.parametrize("name", [*SHIPPED, *(f"plan {number}" for number in DRAWN)])


@dataclass(frozen=True)
class Planned:
    """A build's cam, the margin it keeps, and the plans for all of its valves and for those not measured yet."""

    cam: Cam
    margin: float
    stops: list[Stop]
    left: list[Stop]


@pytest.fixture(scope="module")
def plans(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Planned]:
    top = tmp_path_factory.mktemp("plans")
    folders = {name: ROOT / name for name in SHIPPED} | {f"plan {number}": drawn(top, number) for number in DRAWN}
    return {name: _planned(folder) for name, folder in folders.items()}


def _planned(folder: Path) -> Planned:
    data = files(folder)
    own = data["build"].get("limits", {}).get("measured-on-heel", {"at_least": "10 deg"})
    return Planned(Cam(data), one(own["at_least"]), _stops(folder), _stops(folder, "--left"))


def _stops(folder: Path, *options: str) -> list[Stop]:
    return [
        (
            stop["crank"]["deg"],
            {
                (each["cylinder"], each["valve"]): (each["heel"]["from"]["deg"], each["heel"]["to"]["deg"])
                for each in stop["valves"]
            },
        )
        for stop in answer("plan", str(folder), *options)["stops"]
    ]


def drawn(top: Path, number: int) -> Path:
    """A build whose valves may stay open for longer than any engine's, and with a margin of its own now and then."""
    random, folder = Random(number), lay_out(top / str(number), number)
    data = files(folder)
    longest = random.choice([300, 360, 440])
    for valve in ("intake", "exhaust"):
        data["cam"][valve]["duration"] = f"{random.randint(230, longest)} deg"
    if random.random() < 0.4:
        own = {"at_least": f"{random.randint(5, 40)} deg", "because": "its ramps are long"}
        data["build"]["limits"] = {"measured-on-heel": own}
    for name in ("cam", "build"):
        (folder / f"{name}.yaml").write_text(json.dumps(data[name]), encoding="utf-8")
    return folder


@each_plan
def test_every_valve_has_one_stop_in_two_turns_on_its_base_circle(plans: dict[str, Planned], name: str) -> None:
    plan = plans[name]
    assert sorted(key for _, valves in plan.stops for key in valves) == sorted(plan.cam.keys)
    cranks = [crank for crank, _ in plan.stops]
    assert cranks == sorted(set(cranks))
    assert all(0 <= crank < 720 for crank in cranks)
    for crank, valves in plan.stops:
        assert all(plan.cam.to_the_heels_end(key, crank) >= plan.margin - 1e-9 for key in valves)


@each_plan
def test_base_circles_are_those_of_the_card(plans: dict[str, Planned], name: str) -> None:
    plan = plans[name]
    for _, valves in plan.stops:
        for key, heel in valves.items():
            for result, again in zip(heel, plan.cam.heel(key, plan.margin), strict=True):
                assert abs((result - again + 360) % 720 - 360) < 1e-6, key


@each_plan
def test_there_is_no_plan_with_fewer_stops(plans: dict[str, Planned], name: str) -> None:
    plan = plans[name]
    assert len(plan.stops) == plan.cam.fewest(plan.cam.keys, plan.margin)


@each_plan
def test_what_is_left_takes_the_fewest_stops_too(plans: dict[str, Planned], name: str) -> None:
    plan = plans[name]
    measured = {(each["cylinder"], each["valve"]) for each in plan.cam.data["marks"]["valves"]}
    left = [key for key in plan.cam.keys if key not in measured]
    assert sorted(key for _, valves in plan.left for key in valves) == sorted(left)
    assert len(plan.left) == (plan.cam.fewest(left, plan.margin) if left else 0)
    assert all(within(plan.cam.heel(key, plan.margin), crank) for crank, valves in plan.left for key in valves)


@over_all_draws
def test_plans_are_as_unlike_as_their_engines(plans: dict[str, Planned]) -> None:
    assert {len(plan.stops) for plan in plans.values()} >= {1, 2, 3}
    assert len({plan.margin for plan in plans.values()}) > 3
