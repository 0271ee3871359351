"""The measuring plan against brute force: fewest stops, every valve on its base circle, nearest the middles."""

from __future__ import annotations

import random
from itertools import combinations

import pytest
from firing_orders import FLAT_SIX, FOUR, ODD_FIRE_SIX, SIX, VEE_EIGHT, VEE_TWELVE, distance, heels_of
from thorough import number

from buildcheck.formulas.base_circle import Heel, on_heel
from buildcheck.formulas.crank_stops import measuring_plan


def fewest_by_brute_force(heels):
    """Every half degree represents the set of valves on their base circle there; fewest sets that hold them all."""
    sets = {frozenset(v for v, w in heels.items() if distance(h / 2, w.middle) <= w.reach) for h in range(1440)}
    biggest = [s for s in sets if not any(s < other for other in sets)]
    return next(
        k for k in range(1, 25) if any(len(frozenset().union(*c)) == len(heels) for c in combinations(biggest, k))
    )


ENGINES = {
    "single": ([1], None),
    "four in line": (FOUR, None),
    "six in line": (SIX, None),
    "flat six": (FLAT_SIX, None),
    "vee eight": (VEE_EIGHT, None),
    "vee twelve": (VEE_TWELVE, None),
    "odd-fire vee six": ([1, 6, 5, 4, 3, 2], ODD_FIRE_SIX),
    "odd-fire vee twin": ([1, 2], [405.0, 315.0]),
}


@pytest.mark.parametrize("margin", [0, 10, 50, 100, 180])
@pytest.mark.parametrize("engine", ENGINES)
def test_plan_has_fewest_stops_and_every_valve_on_its_base_circle_once(engine, margin):
    heels = heels_of(*ENGINES[engine], margin=margin)
    plan = measuring_plan(heels)
    assert len(plan) == fewest_by_brute_force(heels)
    assert sorted(valve for stop in plan for valve in stop.valves) == sorted(heels)
    assert all(on_heel(stop.crank, heels[valve]) for stop in plan for valve in stop.valves)
    assert [stop.crank for stop in plan] == sorted(stop.crank for stop in plan)


def test_plan_has_fewest_stops_on_random_windows():
    draw = random.Random(6)
    for _ in range(number(40, 150)):
        heels = {(c, "intake"): Heel(draw.randrange(720), draw.randrange(5, 230)) for c in range(draw.randint(1, 9))}
        plan = measuring_plan(heels)
        assert len(plan) == fewest_by_brute_force(heels)
        assert all(on_heel(stop.crank, heels[valve]) for stop in plan for valve in stop.valves)


@pytest.mark.parametrize("engine", ["four in line", "odd-fire vee six", "vee eight", "odd-fire vee twin"])
def test_plan_of_two_stops_is_nearest_the_middles(engine):
    heels = heels_of(*ENGINES[engine])
    plan = measuring_plan(heels)
    furthest = max(distance(stop.crank, heels[valve].middle) for stop in plan for valve in stop.valves)
    pairs = combinations(range(0, 720, 4), 2)
    best = min(max(min(distance(a, w.middle), distance(b, w.middle)) for w in heels.values()) for a, b in pairs)
    assert len(plan) == 2
    assert best - 4 <= furthest <= best


def test_plan_of_two_stops_on_random_windows_is_nearest_the_middles():
    draw, pairs, judged = random.Random(7), list(combinations(range(0, 720, 6), 2)), 0
    for _ in range(number(20, 40)):
        heels = {(c, "intake"): Heel(draw.randrange(720), draw.randrange(90, 230)) for c in range(6)}
        plan = measuring_plan(heels)
        if len(plan) != 2:
            continue
        judged += 1
        furthest = max(distance(stop.crank, heels[valve].middle) for stop in plan for valve in stop.valves)
        best = 360.0
        for pair in pairs:
            on = [[d for d in (distance(p, w.middle) for p in pair) if d <= w.reach] for w in heels.values()]
            if all(on):
                best = min(best, max(min(distances) for distances in on))
        assert furthest <= best
    assert judged > 10


def test_each_stop_is_midway_between_its_own_middles():
    middles = {1: 0, 2: 100, 3: 400, 4: 420}
    plan = measuring_plan({(c, "intake"): Heel(middle, 60) for c, middle in middles.items()})
    assert [stop.crank for stop in plan] == [50, 410]


def test_plan_of_nothing_is_empty():
    assert measuring_plan({}) == []
