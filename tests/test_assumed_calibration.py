"""Drawn engines through files, rules and order: what is called ready has no valve out of range; a small sample.

``python tests/bench/assumed.py`` draws many more and prints them.
"""

from __future__ import annotations

import random
import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent / "bench"))

from assumed import Cell, judged, laid_out, out_of_range, shares

SHOP = "shop: {valves: [{mount: pedestal, deviation: 0.004 in, freedom: 20}]}\n"


@pytest.mark.parametrize(("spread", "shop", "least"), [(0.002, "", 4), (0.004, SHOP, 4)])
def test_engines_called_ready_with_valves_assumed_have_none_out_of_range(spread: float, shop: str, least: int) -> None:
    ready, out = shares(Cell(spread, 0.025, 1, 4), 12, shop=shop)
    assert ready >= least
    assert out == 0


def test_the_rule_holds_back_engines_that_would_have_a_valve_out_of_range(tmp_path: Path) -> None:
    """Valves 0.008 in apart, 4 of 6 read: without the rule some of these orders would be ready, and wrong."""
    held_back = wrong = 0
    for number in range(12):
        draw = random.Random(number)
        true = laid_out(tmp_path / str(number), Cell(0.008, 0.025, 1, 4), draw)
        found = judged(tmp_path / str(number))
        if {one.rule for one in found.results if one.blocks} == {"assumed-valves-safe"}:
            held_back += 1
            wrong += out_of_range(found, true, draw)
    assert held_back >= 8
    assert wrong >= 1
