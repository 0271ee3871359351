"""Units against NIST SP 811 (2008), App. B, and every whole thou against its exact millimetres."""

from __future__ import annotations

import subprocess
import sys
from decimal import Decimal

import pytest

from buildcheck.units.quantity import parse
from buildcheck.units.unit_table import (
    BASE,
    COMMON_FACTORS,
    UNIT_SUGGESTIONS,
    UNITS,
    difference_to_base,
    from_base,
    pint_factor,
    to_base,
)


@pytest.mark.parametrize(
    ("spelling", "base"),
    [
        ("in", "0.0254"),  # NIST SP 811 (2008), App. B: in 25.4 mm exact
        ("cu in", "0.000016387064"),  # NIST SP 811 (2008), App. B: cu in 16.387064 cm³
        ("lbf", "4.4482216152605"),  # NIST SP 811 (2008), App. B: lbf 4.4482216152605 N
    ],
)
def test_exact_factors_of_nist_sp_811(spelling: str, base: str) -> None:
    assert to_base(Decimal(1), UNITS[spelling]) == Decimal(base)


@pytest.mark.parametrize(
    ("spelling", "base", "half_a_last_digit"),
    [
        ("ft-lb", "1.355818", "0.0000005"),  # NIST SP 811 (2008), App. B: lbf·ft 1.355818 N·m
        ("psi", "6894.757", "0.0005"),  # NIST SP 811 (2008), App. B: psi 6894.757 Pa
    ],
)
def test_rounded_factors_of_nist_sp_811(spelling: str, base: str, half_a_last_digit: str) -> None:
    assert abs(to_base(Decimal(1), UNITS[spelling]) - Decimal(base)) <= Decimal(half_a_last_digit)


def test_every_whole_thou_equals_its_millimetres() -> None:
    for thou in range(1, 20_000):
        inches = Decimal(thou).scaleb(-3)
        millimetres = Decimal(thou * 254).scaleb(-4)
        assert (
            to_base(inches, UNITS["in"]) == to_base(millimetres, UNITS["mm"]) == to_base(Decimal(thou), UNITS["thou"])
        )


@pytest.mark.parametrize(
    ("value", "unit", "kelvin"),
    [("32", "degF", "273.15"), ("68", "degF", "293.15"), ("212", "degF", "373.15"), ("20", "degC", "293.15")],
)
def test_fixed_points_of_temperature_are_exact(value: str, unit: str, kelvin: str) -> None:
    assert to_base(Decimal(value), UNITS[unit]) == Decimal(kelvin)


def test_a_difference_of_temperature_takes_no_zero_point() -> None:
    assert difference_to_base(Decimal(90), UNITS["degF"]) == difference_to_base(Decimal(50), UNITS["degC"]) == 50


@pytest.mark.parametrize(
    ("spelling", "parts"),
    [
        ("psi", ("lbf", "in", "in")),
        ("lbf/in", ("lbf", "in")),
        ("N/mm", ("N", "mm")),
        ("GPa", ("kN", "mm", "mm")),
    ],
)
def test_compound_units_are_made_of_their_parts(spelling: str, parts: tuple[str, ...]) -> None:
    value = to_base(Decimal(1), UNITS[parts[0]])
    for part in parts[1:]:
        value /= to_base(Decimal(1), UNITS[part])
    assert abs(to_base(Decimal(1), UNITS[spelling]) / value - 1) < Decimal("1e-25")


@pytest.mark.parametrize("spelling", sorted(UNITS))
def test_each_spelling_goes_to_its_base_and_back(spelling: str) -> None:
    unit = UNITS[spelling]
    assert unit.kind in BASE
    assert unit.spelling in UNITS
    assert abs(from_base(to_base(Decimal("7.412"), unit), unit) - Decimal("7.412")) < Decimal("1e-13")


def test_a_near_miss_is_never_a_unit_and_its_answer_begins_with_one() -> None:
    assert not UNIT_SUGGESTIONS.keys() & UNITS.keys()
    for answer in UNIT_SUGGESTIONS.values():
        assert any(answer == s or answer.startswith(s + " ") for s in UNITS if s), answer


@pytest.mark.parametrize("definition", sorted(COMMON_FACTORS))
def test_a_written_factor_is_what_pint_makes_of_the_unit_file(definition: str) -> None:
    kind = next(unit.kind for unit in UNITS.values() if unit.definition == definition)
    assert pint_factor(definition, BASE[kind]) == COMMON_FACTORS[definition]


@pytest.mark.parametrize(("text", "loads"), [("0.560 in", 0), ("1.4 cm", 1)])
def test_pint_is_loaded_for_rarer_units_only(text: str, loads: int) -> None:
    asked = f"from buildcheck.units.quantity import parse; parse('{text}', 'length')"
    assert (
        subprocess.run(
            [sys.executable, "-c", f"import sys; {asked}; sys.exit('pint' in sys.modules)"], check=False
        ).returncode
        == loads
    )


@pytest.mark.parametrize(
    ("inches", "millimetres"),
    [("0.455 in", "11.56 mm"), ("0.487 in", "12.37 mm"), ("0.444 in", "11.28 mm"), ("0.477 in", "12.12 mm")],
)
def test_valve_lifts_printed_in_both_units(inches: str, millimetres: str) -> None:
    """US Department of the Army, TM 9-2815-256-24, para 3-32: .455-.487 in = 11.56-12.37 mm; .444-.477, 11.28-12.12."""
    assert float(parse(inches, "length").si) == pytest.approx(float(parse(millimetres, "length").si), abs=0.5e-5)


@pytest.mark.parametrize(("pounds", "newtons"), [("147.25 lbf", "655 N"), ("162.75 lbf", "724 N")])
def test_spring_loads_printed_in_both_units(pounds: str, newtons: str) -> None:
    """US Department of the Army, TM 55-1905-223-24-3, Table 4-1: loads at 1.724 in (43.79 mm)."""
    assert float(parse(pounds, "force").si) == pytest.approx(float(parse(newtons, "force").si), abs=0.5)
    assert float(parse("1.724 in", "length").si) == pytest.approx(0.04379, abs=0.5e-5)
