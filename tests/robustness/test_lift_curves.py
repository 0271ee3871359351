"""Lifts beside each other: simulated good curves have no uneven lift, and a typing error in one is found."""

from __future__ import annotations

import sys
from pathlib import Path
from random import Random

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parent.parent))

from motion_engines import INCH, LOBES

from buildcheck.build.motion_readings import Reading
from buildcheck.core.value import Value
from buildcheck.quantities.implausible_motion import departure

U = 0.001 * INCH


def curve(number: int) -> list[Reading]:
    """A drawn curve as it is read: lobe, lift, duration, lash, steps and errors of dial and degree wheel."""
    draw = Random(number)
    lobe, half = LOBES[draw.choice(sorted(LOBES))], draw.uniform(110, 160)
    full, lash = draw.uniform(0.2, 0.7), draw.choice((0.0, 0.012, 0.020))
    step, first = draw.choice((5, 10, 15, 20)), draw.uniform(-170, -20)
    found = []
    for at in range(int((draw.uniform(20, 170) - first) // step)):
        angle = first + at * step
        true = full * float(lobe(np.array((angle + draw.gauss(0, 0.4)) / half))) - lash
        found.append(reading(angle, round(max(0.0, true) + draw.gauss(0, 0.0004), 4)))
    return found


def reading(angle: float, lift: float) -> Reading:
    """A line of motion.yaml, lift in inches."""
    at = Value(angle, "angle", {}, ())
    return Reading(at, Value(lift * INCH, "length", {"dial": U / 2}, ()), None)


def worst(readings: list[Reading]) -> tuple[float, int]:
    """The greatest departure as a share of what is allowed, and the reading that has it."""
    return max(departure(readings, i)[:2] for i in range(len(readings)))


GOOD = [readings for number in range(150) if len(readings := curve(number)) >= 5]


def test_good_curves_have_no_uneven_lift() -> None:
    """Of 3,000 curves two had one; none of these."""
    assert len(GOOD) > 100
    assert [i for i, readings in enumerate(GOOD) if worst(readings)[0] > 1] == []


@pytest.mark.parametrize("factor", [0.1, 10.0, 1 / 25.4])
def test_a_typing_error_in_a_lift_on_the_flank_is_found_where_it_was_made(factor: float) -> None:
    fine = [readings for readings in GOOD if readings[1].angle.si - readings[0].angle.si <= 10]
    found = 0
    for readings in fine:
        at = len(readings) // 2
        lift = readings[at].lift
        assert lift is not None
        wrong = reading(readings[at].angle.si, lift.si / INCH * factor)
        share, index = worst([*readings[:at], wrong, *readings[at + 1 :]])
        found += share > 1 and index == at
    assert found >= 0.9 * len(fine)
