"""Readings carried over by the product's formulas, against an engine of rigid bodies that was measured again."""

from __future__ import annotations

from collections.abc import Callable
from math import hypot
from random import Random

import pytest
from engine_history import Engine, drawn

from buildcheck.formulas import carried_reading as carry
from buildcheck.formulas.rocker import sweep_width
from buildcheck.formulas.zero_lash import (
    bracket,
    from_bolt_turns,
    from_feeler,
    valve_held_open,
    valve_held_open_by_lowered_pivot,
)

DRAWS = 100
CHANGES: dict[str, Callable[[Engine, float], Engine]] = {
    "block_milled": Engine.head_nearer,
    "gasket_thickness": lambda engine, by: engine.head_nearer(-by),
    "lifter_cup_lower": lambda engine, by: engine.head_nearer(-by),
    "base_circle_diameter": lambda engine, by: engine.base_circle_smaller(-by),
    "tip_higher": Engine.tip_higher,
    "lobe_lift": lambda engine, by: engine.with_lobe(engine.lobe + by),
}
FIXED = {**CHANGES, "pedestal_raised": Engine.raised}


def close(true: float, carried: float, *options: float) -> bool:
    """Within 5 % of each term, and two tenths of a thousandth for what two changes do to each other."""
    return abs(true - carried) <= hypot(*(carry.SHARE * term for term in options)) + 0.0002


@pytest.mark.parametrize("name", FIXED)
def test_a_fixed_pivot_measured_again(name: str) -> None:
    random = Random(name)
    held = 0
    for _ in range(DRAWS):
        engine, ratio = drawn(random)
        by = random.uniform(-0.060, 0.060)
        then, effect = FIXED[name](engine, by), carry.effects(ratio, pivot_free=False)[name]
        length = carry.carried(engine.pushrod(), by, effect.length)
        height = carry.carried(engine.height_error(), by, effect.height)
        held += close(then.pushrod(), length, by * effect.length) and close(then.height_error(), height, by, by)
    assert held >= 0.95 * DRAWS


@pytest.mark.parametrize("name", CHANGES)
def test_a_nut_measured_again_with_the_pushrod_that_belongs_to_the_pair(name: str) -> None:
    random = Random(name)
    held = 0
    for _ in range(DRAWS):
        engine, ratio = drawn(random)
        by = random.uniform(-0.060, 0.060)
        effect = carry.effects(ratio, pivot_free=True)[name]
        then = CHANGES[name](engine, by).with_pushrod(carry.carried(engine.pushrod(), by, effect.length))
        height = carry.carried(engine.height_error(), by, effect.height)
        held += close(then.height_error(), height, by)
    assert held >= 0.95 * DRAWS


@pytest.mark.parametrize("name", CHANGES)
def test_a_nut_set_to_zero_lash_again_over_the_same_pushrod(name: str) -> None:
    random = Random(name)
    held = 0
    for _ in range(DRAWS):
        engine, ratio = drawn(random)
        by = random.uniform(-0.060, 0.060)
        effect = carry.effects(ratio, pivot_free=True)[name]
        then = CHANGES[name](engine, by).with_pushrod(engine.pushrod())
        step = carry.height_error_with_same_pushrod(effect, 1 + 1 / ratio)
        held += close(then.height_error(), carry.carried(engine.height_error(), by, step), by)
    assert held >= 0.95 * DRAWS


@pytest.mark.parametrize("shut_height", [None, 0.67], ids=["roller", "pad"])
def test_a_mark_predicted_over_another_shim(shut_height: float | None) -> None:
    random, tip = Random("mark"), 0.342
    for _ in range(DRAWS):
        engine, _ratio = drawn(random, shut_height)
        shim = random.uniform(-0.050, 0.050)
        before, after = engine.mark(), engine.raised(shim).mark()
        read = (before[0] + tip / 2, before[1] + tip / 2)
        q, lift = engine.height_error(), engine.lift()
        offset = carry.pivot_offset_from_mark(engine.arm, lift, q, read, tip)
        edges = carry.predicted_mark(engine.arm, lift, carry.carried(q, shim, -1.0), offset, tip)
        wider = sweep_width(engine.arm, lift, q - shim + lift / 2) - (after[1] - after[0])
        assert abs(wider) < 0.004  # the lift itself changes a little with the height of the pivot
        assert all(abs(edge - true - tip / 2) < 0.003 for edge, true in zip(edges, after, strict=True))


def test_a_known_pushrod_with_a_feeler_and_with_the_bolts_turns() -> None:
    random = Random("feeler")
    for _ in range(DRAWS):
        engine, ratio = drawn(random)
        short, pitch = random.uniform(0.005, 0.030), 1 / 24
        gap = valve_gap(engine, engine.pushrod() - short)
        assert close(engine.pushrod(), from_feeler(engine.pushrod() - short, gap, ratio), gap / ratio)
        turns = random.uniform(0.2, 1.2)
        touching = engine.raised(turns * pitch).pushrod()
        taken_up = turns * pitch * (1 + 1 / ratio)
        assert close(engine.pushrod(), from_bolt_turns(touching, taken_up), taken_up)


def test_a_solid_lifter_holds_the_valve_open_as_the_bolt_comes_down() -> None:
    random = Random("bolt")
    for _ in range(DRAWS):
        engine, ratio = drawn(random)
        lowered = random.uniform(0.005, 0.040)
        then = engine.raised(-lowered)
        held_open = -valve_gap(then, engine.pushrod())
        expected = valve_held_open_by_lowered_pivot(lowered, ratio)
        assert expected == valve_held_open(1.0, lowered, ratio)
        assert abs(held_open - expected) <= 0.05 * expected + 0.0005


def valve_gap(engine: Engine, length: float) -> float:
    """How far the tip circle is above the closed valve's tip with this pushrod pressed on; below zero: held open."""
    low, high = -0.3, 0.3
    for _ in range(60):
        middle = (low + high) / 2
        moved = engine.tip_higher(middle)
        shut = engine.cup(moved.turn())  # the rocker turned to a tip as much higher, everything else in place
        reach = hypot(shut[0] - engine.foot[0], shut[1] - engine.foot[1])
        low, high = (middle, high) if reach > length else (low, middle)
    return low


def test_brackets_hold_the_true_length_as_often_as_their_uncertainty_states() -> None:
    random, held = Random("bracket"), 0
    for _ in range(1000):
        true = random.uniform(9.0, 9.1)
        slack = true - random.uniform(0, 1 / 28)
        value, standard = bracket(slack, slack + 1 / 28)
        held += abs(value - true) <= 2 * standard
    assert held == 1000  # a rectangle reaches to 1.73 standard uncertainties
