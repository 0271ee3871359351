"""Families of awkward spellings: each ends in an error or in the value that a fraction library finds."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildcheck.units.quantity import Amount, QuantityError, parse

_MEANT = {  # as written -> what it means
    "0": "0", "7": "7", "7.0": "7", "0.412": "412/1000", ".412": "412/1000", "0.0070": "7/1000",
    "5/16": "5/16", "10/16": "5/8", "16/5": "16/5", "1 1/2": "3/2", "1-1/2": "3/2", "1½": "3/2", "½": "1/2",
    "⅜": "3/8", "2e3": "2000", "2e-3": "1/500", "2E+3": "2000",
}  # fmt: skip
_REFUSED = (
    "7.", "007", "5 /16", "5/ 16", "5//16", "5/-16", "/16", "1  1/2", "1 1/2 1/2", "1 3/2", "½½", "1.5½", "2e3.5",
    "2e", "2×10³", "1,5", "1'000", "1 000", "1e99", "∞", "NaN", "²", "Ⅷ", "٣", "1+1", "2*3", "2**3", "0b1", "0x1",
    "1j", "True", "1_0", "1..2", "1:2",
)  # fmt: skip
_NUMBERS: dict[str, str | None] = {**_MEANT, **dict.fromkeys(_REFUSED)}
_SIGNS = {
    "": 1,
    "+": 1,
    "-": -1,
    "−": -1,
    "--": None,
    "+-": None,
    "~": None,
    "<": None,
    "≈": None,
    "- ": None,
}
_UNITS = {" in": "254/10000", "in": "254/10000", '"': "254/10000", " mm": "1/1000", " thou": "254/10000000",
          " inn": None, " in in": None, " lbf": None, "": None}  # fmt: skip
_FAMILY = list(product(_SIGNS, _NUMBERS, _UNITS))


def _meaning(sign: str, number: str, unit: str) -> Fraction | None:
    direction, size, factor = _SIGNS[sign], _NUMBERS[number], _UNITS[unit]
    if direction is None or size is None or factor is None:
        return None
    return direction * Fraction(size) * Fraction(factor)


def test_the_family_is_large_and_holds_both_good_and_bad() -> None:
    good = sum(_meaning(*spelling) is not None for spelling in _FAMILY)
    assert len(_FAMILY) > 4000
    assert good > 250


def test_each_spelling_of_the_family_is_right_or_refused() -> None:
    for spelling in _FAMILY:
        text, meaning = "".join(spelling), _meaning(*spelling)
        if meaning is None:
            with pytest.raises(QuantityError):
                parse(text, "length")
        else:
            assert abs(Fraction(parse(text, "length").si) - meaning) <= abs(meaning) / 10**27, text


@given(st.text(alphabet='0123456789./-+± eE,"½−inm%', max_size=20))
def test_whatever_is_typed_ends_in_a_finite_value_or_in_plain_words(text: str) -> None:
    found: Amount | QuantityError
    try:
        found = parse(text, "length")
    except QuantityError as error:
        found = error
    if isinstance(found, Amount):
        assert found.si.is_finite()
        assert found.expanded is None or found.expanded >= 0
    else:
        assert str(found).isprintable()


@settings(deadline=None)  # the first foot loads pint
@given(st.decimals(-1000, 1000, places=4), st.sampled_from(["in", "mm", "thou", "ft"]))
def test_a_decimal_is_read_exactly(value: Decimal, unit: str) -> None:
    factor = {"in": "0.0254", "mm": "0.001", "thou": "0.0000254", "ft": "0.3048"}[unit]
    assert parse(f"{value:f} {unit}", "length").si == value * Decimal(factor)
