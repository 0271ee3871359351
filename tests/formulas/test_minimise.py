"""The search for a valley against valleys of which the bottom is known."""

from __future__ import annotations

from random import Random

import pytest

from buildcheck.formulas.numeric import minimise


@pytest.mark.parametrize("power", [1.5, 2, 4])
@pytest.mark.parametrize("seed", range(40))
def test_the_bottom_is_found_wherever_it_lies(power: float, seed: int) -> None:
    draw = Random(seed)
    bottom, steep, lean = draw.uniform(-1.2, 1.2), 10 ** draw.uniform(-3, 6), draw.uniform(0.5, 2)
    asked: list[float] = []

    def valley(x: float) -> float:
        asked.append(x)
        return steep * abs(x - bottom) ** power * (lean if x > bottom else 1)

    assert minimise(valley, -1, 1, 1e-6) == pytest.approx(min(max(bottom, -1), 1), abs=2e-6)
    assert len(asked) < 60
    assert all(-1 < x < 1 for x in asked)


def test_a_jump_at_an_end_hides_no_valley() -> None:
    assert minimise(lambda x: -1.0 if x in (-1, 1) else (x - 0.25) ** 2, -1, 1, 1e-6) == pytest.approx(0.25, abs=2e-6)
