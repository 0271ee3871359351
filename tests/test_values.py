"""Measured values: one reading used twice counts once, and what cannot be computed says so."""

from __future__ import annotations

from math import hypot, inf, nan

import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import ufloat

from buildcheck.core.problem import Place
from buildcheck.core.subject import BUILD, Subject
from buildcheck.core.value import Contradiction, Undecided, Value, derive, remarks, with_uncertainty
from buildcheck.rules.expression import expression

A, B = Place("marks.yaml", 3, 5), Place("cam.yaml", 7, 1)
FROM, TO = Value(0.118, "length", {"a": 0.002}, (A,)), Value(0.176, "length", {"b": 0.003}, (B, A))


def test_independent_readings_add_up_by_squares_and_places_once() -> None:
    width = derive("length", lambda low, high: high - low, FROM, TO)
    assert width.expanded == pytest.approx(2 * hypot(0.002, 0.003))
    assert width.places == (A, B)


def test_a_reading_used_twice_is_one_source() -> None:
    width = derive("length", lambda low, high: high - low, FROM, TO)
    back = derive("length", lambda low, wide: low + wide, FROM, width)
    assert back.si == pytest.approx(TO.si)
    assert back.expanded == pytest.approx(TO.expanded)
    assert derive("length", lambda x, y: x + y, FROM, FROM).expanded == pytest.approx(2 * FROM.expanded)


def test_products_and_quotients_as_the_uncertainties_package_has_them() -> None:
    low, high = ufloat(0.118, 0.002), ufloat(0.176, 0.003)
    expected = (high - low) * low / high
    width = derive("length", lambda a, b: b - a, FROM, TO)
    share = derive("ratio", lambda w, a, b: w * a / b, width, FROM, TO)
    assert share.si == pytest.approx(expected.nominal_value)
    assert share.expanded == pytest.approx(2 * expected.std_dev, rel=1e-3)


def test_a_source_that_widens_is_independent_of_all_others() -> None:
    twice = with_uncertainty(with_uncertainty(FROM, 0.004, "feel"), 0.0, "nothing")
    assert twice.expanded == pytest.approx(hypot(FROM.expanded, 0.004))
    assert set(twice.parts) == {"a", "feel"}


def refuse(x: float) -> float:
    raise ValueError("cannot be")


def test_data_that_a_formula_refuses_contradict_at_their_places() -> None:
    with pytest.raises(Contradiction, match="cannot be") as result:
        derive("length", refuse, TO)
    assert result.value.places == (B, A)


def test_a_divisor_of_zero_is_undecided_not_contradictory() -> None:
    with pytest.raises(Undecided) as result:
        derive("ratio", lambda x, y: x / y, FROM, Value(0.0, "length"))
    assert not isinstance(result.value, Contradiction)


def above_its_limit(x: float) -> float:
    if x > 0.119:
        raise ValueError("beyond")
    return x


def test_an_uncertainty_that_reaches_into_the_impossible_is_undecided() -> None:
    assert derive("length", above_its_limit, Value(0.118, "length")).si == 0.118
    with pytest.raises(Undecided, match="beyond"):
        derive("length", above_its_limit, FROM)


@pytest.mark.parametrize("beyond", [inf, -inf, nan])
def test_what_is_no_number_is_undecided(beyond: float) -> None:
    with pytest.raises(Undecided):
        derive("length", lambda x: x * beyond, FROM)
    with pytest.raises(Undecided):
        derive("length", lambda x: x, Value(1.0, "length", {"a": beyond}))


REMARKS = st.lists(st.sampled_from(["the aim", "lash taken as cold", "shim of 0.030 in", ""]), max_size=3)


class Given(dict[str, Value]):
    """Values by name, the same on every subject."""

    def lookup(self, name: str, subject: Subject) -> Value:
        return self[name]


@given(REMARKS, REMARKS, st.sampled_from(["+", "-", "*", "/"]))
def test_arithmetic_keeps_the_remarks_of_both_values(own: list[str], other: list[str], operator: str) -> None:
    values = Given(
        a=Value(2.0, "length", remark=remarks(*own)),
        b=Value(3.0, "length" if operator in "+-" else "ratio", remark=remarks(*other)),
    )
    found = expression(f"a {operator} b").evaluate(values, BUILD).remark
    assert set(filter(None, found.split("; "))) == set(filter(None, [*own, *other]))
    assert len(found.split("; ")) == len(set(found.split("; ")))
