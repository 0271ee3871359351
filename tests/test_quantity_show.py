"""How a computed value is shown: decimals, shop units, rounding half to even."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildcheck.units.quantity import parse, round_half_even, show


@pytest.mark.parametrize(
    ("value", "decimals", "text"),
    [
        ("6.9749515", 2, "6.97"),
        ("6.9749515", 4, "6.9750"),
        ("6.9749515", 6, "6.974952"),
        ("6.9749505", 6, "6.974950"),
    ],
)
def test_rounding_rows_of_nist_sp_811_b_7_1(value: str, decimals: int, text: str) -> None:
    """NIST SP 811, B.7.1."""
    assert str(round_half_even(Decimal(value), decimals)) == text
    assert str(round_half_even(float(value), decimals)) == text


@pytest.mark.parametrize(
    ("si", "kind", "system", "text"),
    [
        (0.014224, "length", "inch", "0.5600 in"),
        (0.2413, "length", "inch", "9.500 in"),
        (0.99996 * 0.0254, "length", "inch", "1.000 in"),
        (0.99994 * 0.0254, "length", "inch", "0.9999 in"),
        (-0.000889, "length", "inch", "-0.0350 in"),
        (-1e-9, "length", "inch", "0.0000 in"),
        (0.00125, "length", "metric", "1.250 mm"),
        (0.2413, "length", "metric", "241.30 mm"),
        (0.0249996, "length", "metric", "25.00 mm"),
        (108.0, "angle", "inch", "108.0 deg"),
        (62e-6, "volume", "metric", "62.0 cc"),
        (62e-6, "volume", "inch", "62.0 cc"),
        (4078.7e-6, "volume", "inch", "248.9 cu in"),
        (4078.7e-6, "volume", "metric", "4078.7 cc"),
        (533.78659, "force", "inch", "120.0 lbf"),
        (533.78659, "force", "metric", "534 N"),
        (52538.05, "rate", "inch", "300.0 lbf/in"),
        (52538.05, "rate", "metric", "52.54 N/mm"),
        (27.116, "torque", "inch", "20.0 ft-lb"),
        (27.116, "torque", "metric", "27.1 Nm"),
        (293.15, "temperature", "inch", "68.0 degF"),
        (293.15, "temperature", "metric", "20.0 degC"),
        (50.0, "temperature difference", "inch", "90.0 degF"),
        (50.0, "temperature difference", "metric", "50.0 degC"),
        (248211262.55, "pressure", "inch", "36000 psi"),
        (248211262.55, "pressure", "metric", "248.2 MPa"),
        (1.6, "ratio", "inch", "1.6"),
        (9.70612, "ratio", "metric", "9.706"),
        (20.0, "ratio", "metric", "20"),
        (6.0, "count", "inch", "6"),
        (1.5, "count", "inch", "1.5"),
    ],
)
def test_shown_in_the_units_of_the_shop(si: float, kind: str, system: str, text: str) -> None:
    assert show(si, kind, system) == text


@given(st.floats(-10, 10), st.sampled_from(["inch", "metric"]))
def test_a_shown_length_reads_back_to_within_its_last_digit(metres: float, system: str) -> None:
    text = show(metres, "length", system)
    assert abs(float(parse(text, "length").si) - metres) <= 0.0005 * 0.0254 * 1.001
    assert not text.startswith("-0.0000 ")


@pytest.mark.parametrize("bad", [float("nan"), float("inf"), Decimal("NaN")])
def test_what_is_no_number_is_never_shown(bad: float | Decimal) -> None:
    with pytest.raises(ValueError, match="cannot be shown"):
        show(bad, "length", "inch")
