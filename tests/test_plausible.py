"""Absurd values are caught with the slip behind them; real engines, small and large, are left alone."""

from __future__ import annotations

import pytest

from buildcheck.schema.plausible_range import implausible
from buildcheck.schema.validation import validate
from buildcheck.yamlio.documents import read

LASH = ("0.0012 in", "0.15 in")


def test_a_slip_of_unit_is_caught() -> None:
    # US Department of the Army, TM 10-4320-307-24, para 2-54: .011 in printed as 0.028 mm (true 0.279)
    said = implausible("0.028 mm", "length", "Lash", LASH, True)
    assert said == "0.028 mm is implausible for lash; 0.031 to 3.8 mm is accepted; did you mean 0.028 in or 0.28 mm?"
    assert implausible("0.279 mm", "length", "Lash", LASH, True) is None


def test_a_number_with_an_uncertainty_and_no_unit_is_refused_like_any_other() -> None:
    assert implausible("-0.5 +/- 0.5", "ratio", "Turns", ("0", "20"), True) == (
        "-0.5 +/- 0.5 is implausible for turns; 0 to 20 is accepted"
    )


def test_zero_passes_only_where_zero_is_meant() -> None:
    assert implausible("0 in", "length", "Lash", LASH, zero=True) is None
    assert implausible("0 in", "length", "Bore", ("1 in", "45 in"), zero=False) is not None


def test_an_unreadable_value_is_left_to_the_format() -> None:
    assert implausible("9.4", "length", "Length", ("1 in", "150 in")) is None


def test_the_ends_of_the_range_are_inside_it_in_any_unit() -> None:
    assert implausible("25.4 mm", "length", "Length", ("1 in", "150 in")) is None
    assert implausible("25.39 mm", "length", "Length", ("1 in", "150 in")) is not None


def test_nothing_is_suggested_where_nothing_fits() -> None:
    said = implausible("500 deg", "angle", "Stud lean", ("-4.5 deg", "4.5 deg"))
    assert said == "500 deg is implausible for stud lean; -4.5 to 4.5 deg is accepted"


SMALL = """\
layout: inline
cylinders: 1
firing_order: [1]
bore: 37.5 mm
stroke: 43 mm
rod_length: 75 mm
"""
MARINE = """\
layout: vee
cylinders: 16
firing_order: [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16]
banks: {a: [1, 2, 3, 4, 5, 6, 7, 8], b: [9, 10, 11, 12, 13, 14, 15, 16]}
bore: 610 mm
stroke: 870 mm
rod_length: 2000 mm
"""
SMALL_RODS = (
    "measured_as: overall\ndiameter: 3 mm\nwall: 0.5 mm\nends: {type: ball, ball_radius: 1.5 mm, oil_hole: 0 mm}\n"
)
MARINE_RODS = (
    "measured_as: overall\ndiameter: 60 mm\nwall: 8 mm\nends: {type: ball, ball_radius: 25 mm, oil_hole: 8 mm}\n"
)


@pytest.mark.parametrize(
    ("name", "text"),
    [("block", SMALL), ("block", MARINE), ("pushrods", SMALL_RODS), ("pushrods", MARINE_RODS)],
    ids=["smallest bore", "largest bore", "smallest pushrod", "largest pushrod"],
)
def test_engines_from_50_cc_to_a_ships_pass(name: str, text: str) -> None:
    document = read(text.encode(), f"{name}.yaml")
    assert document.root is not None
    assert validate(name, document.root, document.file) == []
