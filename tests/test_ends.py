"""Two ends of different balls: one rod's length as each convention states it, from its files."""

from __future__ import annotations

from math import sqrt
from pathlib import Path

import pytest
from altered import SIX, as_it_is, facts

from buildcheck.subjects import Subject

ENDS = "ends: {type: ball, ball_radius: 5/32 in, oil_hole: 0.080 in}\nmeasured_as: overall"
TWO = (
    "ends: {{lifter: {{type: ball, ball_radius: 5/32 in, oil_hole: 0.080 in}}, "
    "rocker: {{type: ball, ball_radius: 3/16 in, oil_hole: 0.060 in}}}}\nmeasured_as: {}"
)


def caps(lifter: float, rocker: float) -> float:
    """What holes of these diameters take off both balls, in."""
    return sum(radius - sqrt(radius**2 - (hole / 2) ** 2) for radius, hole in ((5 / 32, lifter), (3 / 16, rocker)))


OIL = caps(0.080, 0.060)


@pytest.mark.parametrize(
    ("stated", "full"),
    [
        ("overall", OIL),
        ("full ball", 0.0),
        ("gauge, gauge_hole: 0.140 in", caps(0.140, 0.140)),
        ("gauge, gauge_hole: 0.070 in", caps(0.080, 0.070)),
    ],
)
@pytest.mark.parametrize(
    ("measured", "less"),
    [("overall", OIL), ("full ball", 0.0), ("gauge\ngauge_hole: 0.100 in", caps(0.100, 0.100))],
)
def test_a_length_as_stated_in_the_convention_measured(
    tmp_path: Path, stated: str, full: float, measured: str, less: float
) -> None:
    chosen = f"chosen: {{intake: 9.450 in, exhaust: 9.450 in, stated_as: {stated}}}\n"
    edits = [("pushrods.yaml", ENDS, TWO.format(measured)), ("pushrods.yaml", "", chosen)]
    own = facts(tmp_path, SIX, *edits).get("chosen_length", Subject(1, "intake")).si
    assert own / 0.0254 == pytest.approx(9.450 + full - less)


def test_a_checker_with_other_holes_reads_the_rod_as_its_own_ends_would(tmp_path: Path) -> None:
    """The rocker's end drilled as the checker's is: there it reads no more than a rod of its own."""
    drilled = TWO.format("overall").replace("3/16", "5/32")
    found = facts(tmp_path, SIX, ("pushrods.yaml", ENDS, drilled)).get("length_asked", Subject(2, "intake"))
    more = found.si - as_it_is(SIX).facts.get("length_asked", Subject(2, "intake")).si
    assert more / 0.0254 == pytest.approx(sqrt((5 / 32) ** 2 - 0.030**2) - sqrt((5 / 32) ** 2 - 0.040**2))
