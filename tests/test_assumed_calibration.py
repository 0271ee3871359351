"""Drawn engines through files, rules and order: what is called ready has no valve out of range; a small sample.

``python tests/bench/assumed.py`` draws many more and prints them.
"""

from __future__ import annotations

import random
import sys
from pathlib import Path

import pytest
from thorough import number

sys.path.insert(0, str(Path(__file__).parent / "bench"))

from assumed import Cell, judged, laid_out, out_of_range, shares


@pytest.mark.parametrize("cell", [Cell(0.002, 0.025, 1, 4), Cell(0.004, 0.025, 1, 4, shop=20)])
def test_engines_called_ready_with_valves_assumed_have_none_out_of_range(cell: Cell) -> None:
    ready, out = shares(cell, number(6, 12))
    assert ready >= number(2, 4)
    assert out == 0


def test_the_rule_holds_back_engines_that_would_have_a_valve_out_of_range(tmp_path: Path) -> None:
    """Valves 0.008 in apart, 4 of 6 read: without the rule some of these orders would be ready, and wrong."""
    held_back = wrong = 0
    for drawn in range(number(6, 12)):
        draw = random.Random(drawn)
        true = laid_out(tmp_path / str(drawn), Cell(0.008, 0.025, 1, 4), draw)
        found = judged(tmp_path / str(drawn))
        if {one.rule for one in found.results if one.blocks} == {"assumed-valves-safe"}:
            held_back += 1
            wrong += out_of_range(found, true, draw)
    assert held_back >= number(4, 8)
    assert wrong >= 1
