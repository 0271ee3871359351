"""Values carried over hold the true ones: a small sample; tests/bench/carried_coverage.py draws thousands."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
from thorough import number

sys.path.insert(0, str(Path(__file__).parent / "formulas"))
sys.path.insert(0, str(Path(__file__).parent / "bench"))

from carried_coverage import KINDS, Carried, simulated


@pytest.fixture(scope="module")
def found() -> list[Carried]:
    return simulated(number(40, 100))


@pytest.mark.parametrize("quantity", ["length", "height error"])
def test_nineteen_of_twenty_carried_values_hold_the_true_one(found: list[Carried], quantity: str) -> None:
    own = [one for one in found if one.quantity == quantity]
    assert {one.kind for one in own} == {kind for kind in KINDS if quantity == "length" or kind.tip == "roller"}
    assert sum(one.held for one in own) / len(own) >= 0.93


def test_their_uncertainty_is_not_bought_by_excess(found: list[Carried]) -> None:
    lengths = [one.expanded for one in found if one.quantity == "length"]
    assert 0.002 < sum(lengths) / len(lengths) < 0.004
