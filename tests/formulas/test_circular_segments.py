"""Heights of circular segments, printed: under the narrowest mark, and in the ends of a pushrod."""

import pytest

from buildcheck.formulas.pushrod_length import cap
from buildcheck.formulas.rocker import height_error_from_contacts, mark_width_least

PRINTED = [(60.0, 59.86, 8.0), (25 / 3, 16.0, 6.0), (12.0, 13.27, 2.0)]
"""Radius, chord, height: Machinery's Handbook, 31st ed., circular segments (p. 79, 50), printed examples."""

each_example = pytest.mark.parametrize(("radius", "chord", "height"), PRINTED)


@each_example
def test_the_narrowest_mark_is_the_height_of_a_segment(radius: float, chord: float, height: float) -> None:
    # Machinery's Handbook, 31st ed., circular segments (p. 79, 50), printed examples
    assert mark_width_least(radius, chord) == pytest.approx(height, abs=0.002)


@each_example
def test_a_hole_removes_a_segment_of_the_ball(radius: float, chord: float, height: float) -> None:
    # Machinery's Handbook, 31st ed., circular segments (p. 79, 50), printed examples
    assert cap(radius, chord) == pytest.approx(height, abs=0.002)


@each_example
def test_contact_lines_that_far_apart_are_half_a_lift_from_mid_lift(radius: float, chord: float, height: float) -> None:
    """With the arm level at full lift, half of the chord is the lift and the height is between the lines."""
    # Machinery's Handbook, 31st ed., circular segments (p. 79, 50), printed examples
    lift = chord / 2
    found = height_error_from_contacts(radius, lift, 0.0, height)
    assert found == pytest.approx(lift / 2, rel=0.002)
