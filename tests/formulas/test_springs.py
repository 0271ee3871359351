"""Valve springs against worked examples of the textbooks."""

from __future__ import annotations

import pytest

from buildcheck.formulas import springs

IN, LBF = 0.0254, 4.4482216152605


def test_rate_and_solid_height_of_a_squared_spring():
    """Budynas and Nisbett, Shigley's, 10th ed, Ex 10-1, p. 519: k 4.13 lbf/in, Ls .500 in.

    OD 7/16 in; the rate is that of a mean diameter rounded to 0.400 in, 0.35 % from the unrounded one.
    """
    wire, outside, modulus = 0.037 * IN, 0.437 * IN, 11.85e6 * LBF / IN**2
    rate = springs.rate_from_wire(wire, outside, 12.5, "squared", modulus)
    assert rate == pytest.approx(4.13 * LBF / IN, rel=0.001)
    unrounded = springs.rate_from_wire(wire, 7 / 16 * IN, 12.5, "squared", modulus)
    assert unrounded == pytest.approx(rate, rel=0.004)
    assert springs.solid_height(wire, 12.5, "squared") == pytest.approx(0.500 * IN, rel=0.002)


def test_spring_with_ground_ends():
    """Mott, Machine Elements, 4th ed, §19-6, p. 751: Na 12.36, Ls .898 in, Fs 14.8 lb.

    Its loads, 8 lb at 1.75 in and 12 lb at 1.25 in, are from memory.
    """
    wire, mean, coils = 0.0625, 9.60 * 0.0625, 12.36 + 2
    assert springs.rate_from_wire(wire, mean + wire, coils, "squared ground", 11.2e6) == pytest.approx(8.0, rel=1e-3)
    solid = springs.solid_height(wire, coils, "squared ground")
    assert solid == pytest.approx(0.898, abs=0.0006)
    rate = springs.rate_from_two_loads(8.0, 1.75, 12.0, 1.25)
    assert rate == 8.0
    assert springs.force_open(8.0, rate, 1.75 - solid) == pytest.approx(14.8, abs=0.05)


def test_engine_valve_spring_at_full_lift():
    """Bhandari, Design of Machine Elements, Ex 10.15: solid 40, free 60, 13.09 mm at 130 N → 6.91 mm left.

    Its modulus, 81370 N/mm², is from memory.
    """
    rate = springs.rate_from_wire(4, 36, 10, "squared ground", 81370)
    deflected = 130 / rate
    assert deflected == pytest.approx(13.09, abs=0.005)
    assert springs.solid_height(4, 10, "squared ground") == 40
    installed = 60 - (deflected - 10)
    assert springs.coil_bind_clearance(installed, 10, 40) == pytest.approx(6.91, abs=0.005)


def test_ten_per_cent_of_load_loss_is_the_limit_for_use():
    """US Department of the Army, TM 10-3930-644-14&P, §5: more than 10 % → replace."""
    assert springs.load_loss(200.0, 180.0) == 0.1
    assert springs.load_loss(200.0, 179.0) > 0.1
    assert springs.load_loss(200.0, 204.0) == pytest.approx(-0.02)


def test_rates_of_a_printed_valve_spring_agree_by_two_loads_by_free_length_and_by_wire():
    """US Department of the Army, TM 10-4320-344-24, Table 4-1, the middle of each printed range.

    48 lb at 1.492 in, 137 lb at 1.082 in, free length 1.712 in, 6 coils of .172 in, outside 1.294 in. The modulus,
    11.5e6 psi, and squared and ground ends are from memory.
    """
    by_loads = springs.rate_from_two_loads(48.0, 1.492, 137.0, 1.082)
    assert by_loads == pytest.approx(217.1, abs=0.05)
    assert springs.rate_from_two_loads(0.0, 1.712, 48.0, 1.492) == pytest.approx(by_loads, rel=0.01)
    assert springs.force_open(48.0, by_loads, 1.492 - 1.082) == pytest.approx(137.0)
    assert springs.rate_from_wire(0.172, 1.294, 6, "squared ground", 11.5e6) == pytest.approx(by_loads, rel=0.03)
    assert springs.solid_height(0.172, 6, "squared ground") < 1.082


@pytest.mark.parametrize(("load", "lost"), [(43.9, 4.39), (81.4, 8.14), (134.2, 13.42)])
def test_a_printed_wear_limit_is_ten_per_cent_of_the_load_at_full_lift(load, lost):
    """US Department of the Army, TM 9-2815-220-24, WP 0145 00: wear limits of inner, intermediate and outer spring."""
    assert springs.load_loss(load, load - lost) == pytest.approx(0.1, abs=5e-4)


def test_lash_comes_off_the_lift_at_the_valve():
    assert springs.valve_lift(0.300, 1.6, 0.020) == pytest.approx(0.460)


def test_room_left_at_full_lift_is_signed():
    assert springs.retainer_to_seal(0.500, 0.560) == pytest.approx(-0.060)
    assert springs.coil_bind_clearance(1.700, 0.560, 1.150) == pytest.approx(-0.010)


@pytest.mark.parametrize(
    ("ends", "active"), [("plain", 10), ("plain ground", 9), ("squared", 8), ("squared ground", 8)]
)
def test_only_active_coils_give(ends, active):
    """Shigley's, 10th ed, Table 10-1: the ends take 0, 1, 2 and 2 coils."""
    by_coils = 78e9 * 0.004**4 / (8 * 0.030**3 * active)
    assert springs.rate_from_wire(0.004, 0.034, 10, ends, 78e9) == pytest.approx(by_coils)


def test_a_spring_in_metres_and_newtons():
    assert springs.coil_bind_clearance(0.0445, 0.0142, 0.0279) == pytest.approx(0.0024)
    assert springs.rate_from_two_loads(530.0, 0.0445, 1290.0, 0.0318) == pytest.approx(59843, abs=1)
    assert springs.rate_from_two_loads(1.0, 2.0, 1.5, 1.0) == 0.5
    assert springs.load_loss(0.5, 0.0) == 1.0


@pytest.mark.parametrize(
    ("ends", "height"), [("plain", 33), ("plain ground", 30), ("squared", 33), ("squared ground", 30)]
)
def test_solid_height_by_ends(ends, height):
    """Shigley's, 10th ed, Table 10-1: d(Nt + 1) for plain and squared, d·Nt for ground ends."""
    assert springs.solid_height(3, 10, ends) == height


@pytest.mark.parametrize(
    ("impossible", "expected"),
    [
        (lambda: springs.rate_from_two_loads(120, 1.75, 290, 1.75), "two different heights"),
        (lambda: springs.rate_from_two_loads(290, 1.75, 120, 1.25), "smaller height"),
        (lambda: springs.coil_bind_clearance(1.1, 0.5, 1.1), "not above the coil-bind height"),
        (lambda: springs.solid_height(4, 10, "open"), "ends are plain"),
        (lambda: springs.solid_height(4, 2, "squared"), "more coils"),
        (lambda: springs.rate_from_wire(4, 8, 10, "plain", 8e10), "thinner"),
        (lambda: springs.load_loss(0, 10), "above zero"),
        (lambda: springs.valve_lift(0.3, 0), "ratio"),
    ],
)
def test_impossible_springs_are_refused(impossible, expected):
    with pytest.raises(ValueError, match=expected):
        impossible()
