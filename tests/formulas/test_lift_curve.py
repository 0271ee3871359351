"""Lift curves and the slider-crank against closed forms, SciPy, and bodies placed in the plane."""

from __future__ import annotations

import sys
from math import cos, pi, radians, sin
from pathlib import Path

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.interpolate import PchipInterpolator

sys.path.insert(0, str(Path(__file__).parent.parent))

from motion_engines import LOBES, MovingEngine

from buildcheck.formulas.compression import piston_position
from buildcheck.formulas.lift_curve import flank_angle, interpolation_uncertainty, lift_at, nose_lift
from buildcheck.formulas.piston_motion import along_valve

ANGLES = [float(angle) for angle in range(-120, 125, 5)]


def engine(lobe: str = "harmonic", slant: float = 20.0, face: str = "flat") -> MovingEngine:
    return MovingEngine(lobe, 0.012, 250.0, 0.0, 0.09, 0.15, slant, face, 0.01)


@pytest.mark.parametrize("lobe", LOBES)
def test_the_curve_between_readings_is_within_its_uncertainty_of_the_lobe(lobe: str) -> None:
    lifts = [float(lift) for lift in engine(lobe).valve_lift(np.array(ANGLES))]
    for angle in np.linspace(-119, 119, 477):
        away = abs(lift_at(angle, ANGLES, lifts) - float(engine(lobe).valve_lift(np.array(angle))))
        assert away <= interpolation_uncertainty(float(angle), ANGLES, lifts) + 1e-9


def test_the_curve_is_the_monotone_cubic_of_scipy() -> None:
    lifts = [float(lift) for lift in engine().valve_lift(np.array(ANGLES))]
    other = PchipInterpolator(ANGLES, lifts)
    for angle in np.linspace(-110, 110, 101):
        assert lift_at(float(angle), ANGLES, lifts) == pytest.approx(float(other(angle)), abs=1e-12)


def test_a_harmonic_lobe_has_its_height_where_the_closed_form_has_it() -> None:
    """0.012 m times cos² of pi t / 250 is 0.009 m at t = 250/6 deg."""
    lifts = [0.012 * cos(pi * angle / 250) ** 2 for angle in ANGLES]
    assert flank_angle(0.009, ANGLES[24:], lifts[24:]) == pytest.approx(250 / 6, abs=0.05)
    assert flank_angle(0.009, ANGLES[:25], lifts[:25]) == pytest.approx(-250 / 6, abs=0.05)


@pytest.mark.parametrize("off", [-2.0, 0.0, 1.0, 2.4])
def test_full_lift_is_found_between_readings(off: float) -> None:
    three = [value for at in (-5.0, 0.0, 5.0) for value in (at, 0.012 * cos(pi * (at - off) / 250) ** 2)]
    assert nose_lift(*three) == pytest.approx(0.012, abs=2e-6)


def velocity(crank: float) -> float:
    """m for each rad of crank, from the rod's angle: the pin's speed along the rod, seen along the bore."""
    swing = np.arcsin(0.045 * sin(crank) / 0.15)
    return float(0.045 * sin(crank + swing) / cos(swing))


@pytest.mark.parametrize("crank", [-60.0, -12.5, 5.0, 90.0, 179.0])
def test_the_piston_is_where_its_velocity_takes_it(crank: float) -> None:
    travelled, _ = quad(velocity, 0.0, radians(crank))
    assert piston_position(0.09, 0.15, crank) == pytest.approx(travelled, abs=1e-12)


@pytest.mark.parametrize("face", ["flat", "pocket"])
@pytest.mark.parametrize("slant", [0.0, 12.0, 30.0])
def test_free_travel_is_that_of_a_valve_that_meets_the_face(face: str, slant: float) -> None:
    one = engine(slant=slant, face=face)
    for crank in (-40.0, -5.0, 20.0):
        here, top = (float(one.travel(np.array(at))) for at in (crank, 0.0))
        further = piston_position(0.09, 0.15, crank)
        assert along_valve(further, slant, face) == pytest.approx(here - top, abs=1e-12)
        assert along_valve(further, slant) <= here - top + 1e-12
