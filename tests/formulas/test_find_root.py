"""Crossings of zero against bisection and against curves whose crossing is known."""

from math import atan, exp

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildcheck.formulas.numeric import find_root

TOL = 1e-9
CURVES = {
    "line": (lambda x: 3 * x - 1, 1 / 3),
    "parabola": (lambda x: x * x - 0.25, 0.5),
    "cubic, flat at its crossing": (lambda x: (x - 0.7) ** 3, 0.7),
    "steep": (lambda x: exp(20 * x) - exp(4), 0.2),
    "arctangent": (lambda x: atan(50 * (x - 0.9)), 0.9),
    "step": (lambda x: 1.0 if x > 0.4321 else -1.0, 0.4321),
    "bent": (lambda x: (x - 0.6) if x < 0.6 else 100 * (x - 0.6), 0.6),
}


class Watched:
    def __init__(self, function):
        self.function, self.looks = function, []

    def __call__(self, x):
        self.looks.append(x)
        return self.function(x)


def crossed(function, inside, outside, tol=TOL):
    return find_root(function, (inside, function(inside)), (outside, function(outside)), tol)


def bisected(function, inside, outside, tol=TOL):
    while abs(outside - inside) > tol:
        middle = (inside + outside) / 2
        inside, outside = (middle, outside) if function(middle) <= 0 else (inside, middle)
    return outside


@pytest.mark.parametrize("name", CURVES)
@pytest.mark.parametrize("turned", [False, True])
def test_the_place_found_is_above_zero_and_beside_one_that_is_not(name, turned):
    straight, at = CURVES[name]
    sign = -1.0 if turned else 1.0

    def curve(x):
        return straight(sign * x)

    watched = Watched(curve)
    found = crossed(watched, 0.0, sign)
    assert curve(found) > 0
    assert min(abs(found - x) for x in watched.looks if curve(x) <= 0) <= TOL
    if "flat" not in name:  # where floats are below zero a good while before the crossing
        assert found == pytest.approx(sign * at, abs=2 * TOL)


@pytest.mark.parametrize(
    ("name", "share"),
    [("line", 0.3), ("parabola", 0.4), ("steep", 0.6), ("arctangent", 0.6), ("step", 1.1), ("bent", 1.5)],
)
def test_a_smooth_curve_is_looked_at_less_often_than_by_bisection_and_any_other_not_much_more(name, share):
    halved, watched = Watched(CURVES[name][0]), Watched(CURVES[name][0])
    bisected(halved, 0.0, 1.0)
    crossed(watched, 0.0, 1.0)
    assert len(watched.looks) - 2 < share * len(halved.looks)


@given(
    at=st.floats(0.01, 0.99),
    steep=st.floats(0.1, 100),
    bend=st.floats(0.0, 5.0),
)
def test_rising_curves_cross_where_bisection_says(at, steep, bend):
    def curve(x):
        return steep * (x - at) + bend * (x * x - at * at)

    assert crossed(curve, 0.0, 1.0) == pytest.approx(bisected(curve, 0.0, 1.0), abs=2 * TOL)


def test_a_crossing_at_the_inner_end_is_found_beside_it():
    found = crossed(lambda x: x, 0.0, 1.0)
    assert 0 < found <= TOL
