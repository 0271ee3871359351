"""Stack-up of changes, against the height of pivot, tip and lifter worked out part by part."""

from __future__ import annotations

import random
from dataclasses import dataclass

import pytest

from buildcheck.formulas.carried_reading import effects, required_length_change
from buildcheck.record import field_names, replace


@dataclass(frozen=True)
class Changes:
    """What was changed since the known length; of a size known before and after: after less before."""

    block_milled: float = 0.0
    head_milled: float = 0.0
    head_height: float = 0.0
    gasket_thickness: float = 0.0
    base_circle_diameter: float = 0.0
    lifter_cup_lower: float = 0.0
    pedestal_raised: float = 0.0
    tip_higher: float = 0.0


def contributions(changes, ratio, pivot_free):
    """What each change does to the required length, no zeros listed."""
    table, per_height = effects(ratio, pivot_free), 1 + 1 / ratio
    changed = [(name, getattr(changes, name)) for name in field_names(changes)]
    return [
        (name, amount * required_length_change(table[name], pivot_free, per_height))
        for name, amount in changed
        if amount
    ]


def rod_length_of_a_level_rocker(changes, ratio):
    """Pivot, tip and pushrod end on one line that may tilt; the pushrod stands in the lifter's cup."""
    deck = 9.0 - changes.block_milled
    joint = deck + 0.040 + changes.gasket_thickness
    pivot = joint + 4.0 - changes.head_milled + changes.head_height + changes.pedestal_raised
    tip = joint + 4.0 - changes.head_milled + changes.head_height + changes.tip_higher
    cup = 3.0 + changes.base_circle_diameter / 2 - changes.lifter_cup_lower
    return pivot + (pivot - tip) / ratio - cup


def length_change(changes, ratio, pivot_free=False):
    return sum(amount for _, amount in contributions(changes, ratio, pivot_free))


def test_fixed_rocker_against_its_heights_for_random_changes():
    draw = random.Random(9)
    for _ in range(200):
        changes = Changes(*(draw.uniform(-0.1, 0.1) for _ in field_names(Changes)))
        ratio = draw.uniform(1.2, 1.9)
        model = rod_length_of_a_level_rocker(changes, ratio) - rod_length_of_a_level_rocker(Changes(), ratio)
        assert length_change(changes, ratio) == pytest.approx(model, abs=1e-12)


def test_stud_with_nut_follows_the_tip_and_so_keeps_its_mark():
    """The nut raises the pivot with the tip: t(1 + 1/R) of pushrod less t/R for the tip."""
    ratio, raised = 1.5, 0.060
    followed = Changes(tip_higher=raised, pedestal_raised=raised)
    assert length_change(Changes(tip_higher=raised), ratio, pivot_free=True) == pytest.approx(raised)
    assert length_change(followed, ratio) == pytest.approx(raised)
    assert length_change(Changes(tip_higher=raised), ratio) == pytest.approx(-raised / ratio)


@pytest.mark.parametrize("field", field_names(Changes)[:6])
def test_other_changes_do_not_ask_what_holds_the_pivot(field):
    changes = replace(Changes(), **{field: 0.02})
    assert contributions(changes, 1.6, True) == contributions(changes, 1.6, False)


def test_directions_of_the_trade():
    """Milled block or head: shorter; thicker gasket, smaller base circle, lower cup: longer."""
    assert contributions(Changes(block_milled=0.02, head_milled=0.01), 1.6, True) == [
        ("block_milled", -0.02),
        ("head_milled", -0.01),
    ]
    assert contributions(Changes(base_circle_diameter=-0.060), 1.6, True) == [("base_circle_diameter", 0.03)]
    assert contributions(Changes(gasket_thickness=0.011, lifter_cup_lower=0.020), 1.6, False) == [
        ("gasket_thickness", 0.011),
        ("lifter_cup_lower", 0.020),
    ]


def test_a_rocker_of_one_to_one_doubles_the_shim():
    assert contributions(Changes(pedestal_raised=0.030), 1.0, False) == [("pedestal_raised", 0.06)]


def test_a_nut_has_no_pedestal_to_raise():
    assert "pedestal_raised" not in effects(1.6, pivot_free=True)


def test_an_impossible_ratio_is_refused():
    with pytest.raises(ValueError, match="ratio"):
        effects(0.0, pivot_free=False)
