"""The fit against scipy's least squares with every length and the band as unknowns of their own."""

import random

import numpy as np
import pytest
from readings import read
from scipy.optimize import least_squares

from buildcheck.formulas import rocker
from buildcheck.formulas.height_fit import Roller, TrialReadings, fit_trials


def drawn(seed):
    """Two to four noisy trials with marks and contact lines, and the rocker as known."""
    rng = random.Random(seed)
    roller = Roller(rng.uniform(1.3, 1.8), rng.uniform(0.40, 0.65), 1 + 1 / rng.uniform(1.4, 1.8), 0.008, 0.001)
    q, band, trials = rng.uniform(-0.10, 0.10), 0.008 + rng.gauss(0, 0.001), []
    for back in reversed(range(rng.choice([2, 3, 4]))):
        real = q + (0.050 * back + rng.gauss(0, 0.002)) / roller.length_per_height
        seen = read(9.400 - 0.050 * back, real, roller, band, lines=True, noise=lambda: rng.gauss(0, 0.0015))
        trials.append(TrialReadings(seen.length, seen.mark, seen.contacts, 0.0015, 0.002))
    return trials, roller


def misses(unknown, trials, roller):
    """Every reading's miss in standard uncertainties, for q, the band and each trial's true length."""
    q, band, lengths = unknown[0], unknown[1], unknown[2:]
    found = [(band - roller.contact_band) / roller.u_band]
    for trial, length in zip(trials, lengths, strict=True):
        here = q + (trials[-1].length - length) / roller.length_per_height
        width = rocker.width_at(roller.valve_arm, roller.lift, here) + band
        between = rocker.contacts_and_slope(roller.valve_arm, roller.lift, here)[0]
        found.append((trial.mark[1] - trial.mark[0] - width) / (2**0.5 * trial.u_edge))
        found.append((trial.contacts[0] - trial.contacts[1] - between) / (2**0.5 * trial.u_edge))
        found.append((trial.length - length) / trial.u_length)
    return np.array(found)


@pytest.mark.parametrize("seed", range(40))
def test_height_error_and_its_uncertainty_agree_with_scipy(seed):
    trials, roller = drawn(seed)
    ours = fit_trials(trials, roller).solutions[0]
    start = [ours.q, roller.contact_band, *(trial.length for trial in trials)]
    theirs = least_squares(misses, start, args=(trials, roller), xtol=1e-12, ftol=1e-12)
    u = np.linalg.inv(theirs.jac.T @ theirs.jac)[0, 0] ** 0.5
    assert ours.q == pytest.approx(theirs.x[0], abs=0.05 * u)
    assert ours.u == pytest.approx(u, rel=0.03)
    assert ours.chi2 == pytest.approx(2 * theirs.cost, abs=0.02)
