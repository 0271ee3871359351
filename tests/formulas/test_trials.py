"""The fit of all trials: worked cases, and noisy marks whose intervals must hold the truth."""

import random
from statistics import median

import pytest
from readings import ROLLER, read
from thorough import sample

from buildcheck.formulas import rocker
from buildcheck.formulas.height_fit import Roller, TrialReadings, fit_trials


def test_one_mark_leaves_two_heights():
    fit = fit_trials([read(9.400, 0.080)], ROLLER)
    assert [s.q for s in fit.solutions] == pytest.approx([0.080, -0.080], abs=1e-6)
    assert not fit.sign_known
    assert fit.magnitude == pytest.approx((0.0620, 0.0971), abs=0.001)


@pytest.mark.parametrize("q", [0.080, -0.080])
def test_contact_lines_tell_the_sign(q):
    fit = fit_trials([read(9.400, q, lines=True)], ROLLER)
    assert len(fit.solutions) == 1
    assert fit.solutions[0].q == pytest.approx(q, abs=1e-6)
    assert fit.sign_known


@pytest.mark.parametrize("q", [0.080, -0.040])
def test_two_lengths_tell_the_sign(q):
    fit = fit_trials([read(9.300, q + 0.100 / 1.625), read(9.400, q)], ROLLER)
    assert [s.q for s in fit.solutions] == pytest.approx([q], abs=1e-6)
    assert fit.sign_known


@pytest.mark.parametrize(("apart", "known"), [(0.010, False), (0.030, False), (0.080, True)])
def test_a_sign_is_known_once_the_other_one_is_worse_by_nine(apart, known):
    """The trials are exact, so that the difference of chi-square between the signs is that of the other sign."""
    first, last = read(9.400 - apart, 0.060 + apart / 1.625), read(9.400, 0.060)
    fit = fit_trials([first, last], ROLLER)
    assert fit.sign_known == known
    assert fit.solutions[0].q == pytest.approx(0.060, abs=1e-6)


def test_trials_at_q_and_minus_q_are_distinguished_only_by_the_length_between_them():
    fit = fit_trials([read(9.300, 0.100 / 3.25), read(9.400, -0.100 / 3.25)], ROLLER)
    assert fit.solutions[0].q == pytest.approx(-0.100 / 3.25, abs=1e-6)


def test_another_length_moves_no_mark_on_a_fixed_mount():
    fixed = Roller(1.550, 0.560, None, contact_band=0.0)
    fit = fit_trials([read(9.300, 0.080), read(9.400, 0.080)], fixed)
    assert [s.q for s in fit.solutions] == pytest.approx([0.080, -0.080], abs=1e-6)
    moved = fit_trials([read(9.300, 0.080), read(9.400, 0.020)], fixed)
    assert moved.inconsistent
    assert moved.doubtful is None


def test_a_shim_shows_the_sign_on_a_fixed_mount():
    fixed = Roller(1.550, 0.560, None, contact_band=0.0)
    shimmed = TrialReadings(9.400, read(9.400, 0.040).mark, u_edge=0.0015, shim=0.040)
    fit = fit_trials([read(9.400, 0.080), shimmed], fixed)
    assert [s.q for s in fit.solutions] == pytest.approx([0.040], abs=1e-6)


def test_a_width_a_little_under_the_least_is_the_best_height():
    fit = fit_trials([TrialReadings(9.400, (0.120, 0.120 + 0.0230), u_edge=0.0015)], ROLLER)
    (only,) = fit.solutions
    assert only.q == 0.0
    assert only.low == pytest.approx(-only.high)
    assert not fit.inconsistent


def test_a_width_far_under_the_least_fits_no_rocker():
    least = rocker.mark_width_least(1.550, 0.560)
    for short, inconsistent in ((2.9, False), (3.1, True)):
        mark = (0.120, 0.120 + least - short * 2**0.5 * 0.0015)
        assert fit_trials([TrialReadings(9.400, mark, u_edge=0.0015)], ROLLER).inconsistent is inconsistent


def test_a_mark_that_ran_off_is_a_lower_bound_only():
    ran_off = TrialReadings(9.400, (0.0, 0.04239), u_edge=0.0015, at_edge=True)
    fit = fit_trials([ran_off], ROLLER)
    assert fit.lower_bound
    assert fit.magnitude[0] == pytest.approx(0.062, abs=0.001)
    assert fit.magnitude[1] > 1.0
    assert not fit.sign_known


def test_a_good_mark_bounds_one_that_ran_off():
    ran_off = TrialReadings(9.300, (0.0, 0.030), u_edge=0.0015, at_edge=True)
    fit = fit_trials([ran_off, read(9.400, 0.060)], ROLLER)
    assert fit.solutions[0].q == pytest.approx(0.060, abs=1e-6)
    assert not fit.lower_bound


def test_the_trial_that_does_not_fit_is_named():
    lengths = [9.300, 9.350, 9.400, 9.450]
    trials = [read(x, 0.020 + (9.450 - x) / 1.625, lines=True) for x in lengths]
    trials[1] = read(9.350, 0.020 + 0.100 / 1.625 + 0.060, lines=True)
    fit = fit_trials(trials, ROLLER)
    assert fit.inconsistent
    assert fit.doubtful == 1
    assert fit.residuals[1] == max(fit.residuals)


def test_two_trials_that_disagree_do_not_say_which():
    fit = fit_trials([read(9.300, 0.020, lines=True), read(9.400, 0.060, lines=True)], ROLLER)
    assert fit.inconsistent
    assert fit.doubtful is None


def test_lines_stand_alone_where_the_band_was_not_measured():
    unknown = Roller(1.550, 0.560, 1.625)
    fit = fit_trials([read(9.400, 0.040, band=0.015, lines=True)], unknown)
    assert fit.solutions[0].q == pytest.approx(0.040, abs=1e-6)
    taken_for_sweep = fit_trials([read(9.400, 0.040, band=0.015)], unknown)
    assert taken_for_sweep.solutions[0].q > 0.090


def test_lines_on_one_trial_alone_set_all_marks_of_unknown_band_aside():
    unknown = Roller(1.550, 0.560, 1.625)
    trials = [read(9.300, 0.040 + 0.100 / 1.625, band=0.015), read(9.400, 0.040, band=0.015, lines=True)]
    assert fit_trials(trials, unknown).solutions[0].q == pytest.approx(0.040, abs=1e-6)


def test_a_band_known_badly_widens_the_interval():
    sure = fit_trials([read(9.400, 0.080)], ROLLER).solutions[0]
    unsure = fit_trials([read(9.400, 0.080)], Roller(1.550, 0.560, 1.625, 0.0, 0.004)).solutions[0]
    assert unsure.u == pytest.approx(sure.u * (1 + 0.004**2 / (2 * 0.0015**2)) ** 0.5, rel=1e-6)
    assert unsure.high - unsure.low > 1.8 * (sure.high - sure.low)


def test_lengths_known_badly_carry_less_of_the_sign():
    sure = [read(9.300, 0.080 + 0.100 / 1.625), read(9.400, 0.080)]
    vague = [TrialReadings(t.length, t.mark, u_edge=t.u_edge, u_length=0.030) for t in sure]
    assert fit_trials(vague, ROLLER).solutions[0].u > 1.5 * fit_trials(sure, ROLLER).solutions[0].u


def test_a_shim_known_badly_counts_as_a_length_known_as_badly():
    """0.040 in of shim moves the pivot as 0.065 in of pushrod do, 1 + 1/R = 1.625 in for each of height."""
    mark = read(9.400, 0.040).mark
    by_shim = [read(9.400, 0.080), TrialReadings(9.400, mark, u_edge=0.0015, shim=0.040, u_shim=0.030)]
    by_length = [read(9.400, 0.080), TrialReadings(9.465, mark, u_edge=0.0015, u_length=0.030 * 1.625)]
    one, other = (fit_trials(trials, ROLLER).solutions[0] for trials in (by_shim, by_length))
    assert (one.q, one.u, one.low, one.high) == pytest.approx((other.q, other.u, other.low, other.high), abs=1e-6)
    assert (
        one.u
        > 1.01
        * fit_trials([read(9.400, 0.080), TrialReadings(9.400, mark, None, 0.0015, shim=0.040)], ROLLER).solutions[0].u
    )


def test_what_cannot_be_fitted_is_refused():
    with pytest.raises(ValueError, match="no trial"):
        fit_trials([TrialReadings(9.400)], ROLLER)
    with pytest.raises(ValueError, match="without an uncertainty"):
        fit_trials([TrialReadings(9.400, (0.120, 0.160))], ROLLER)
    with pytest.raises(ValueError, match="farther apart"):
        fit_trials([read(5.0, 0.0), read(9.400, 0.0)], ROLLER)


def noisy_fit(rng):
    """One drawn engine, its one to three noisy trials fitted, and the height error that was drawn."""
    roller = Roller(rng.uniform(1.3, 1.8), rng.uniform(0.40, 0.65), 1 + 1 / rng.uniform(1.4, 1.8), None)
    u, band, q = rng.choice([0.0005, 0.0015, 0.0025]), rng.uniform(0, 0.015), rng.uniform(-0.12, 0.12)
    lines, step = rng.random() < 0.4, rng.choice([-1, 1]) * rng.uniform(0.03, 0.10)
    trials = []
    for back in reversed(range(rng.choice([1, 1, 2, 3]))):
        real = q + (step * back + rng.gauss(0, 0.0005)) / roller.length_per_height
        drawn = read(9.400 - step * back, real, roller, band, u, lines, lambda: rng.gauss(0, u))
        trials.append(TrialReadings(drawn.length, drawn.mark, drawn.contacts, u, 0.0005))
    known = (roller.valve_arm, roller.lift, roller.length_per_height, band + rng.gauss(0, 0.0005), 0.0005)
    return q, fit_trials(trials, Roller(*known))


@pytest.mark.parametrize("block", sample(range(4), 2))
def test_intervals_hold_the_truth_and_are_no_wider_than_they_need_be(block):
    rng = random.Random(f"marks {block}")
    fits = [noisy_fit(rng) for _ in range(500)]
    held = sum(any(s.low <= q <= s.high for s in fit.solutions) for q, fit in fits) / len(fits)
    width = median(sum(s.high - s.low for s in fit.solutions) for _, fit in fits)
    doubted = sum(fit.inconsistent for _, fit in fits) / len(fits)
    assert held >= 0.94, f"{held:.1%} of intervals hold the height error, median width {width:.4f} in"
    assert width < 0.030, f"median width {width:.4f} in, {held:.1%} hold the height error"
    assert doubted < 0.02, f"{doubted:.1%} of good sets called inconsistent"


@pytest.mark.parametrize("q", [0.0, 0.005, 0.015, 0.030])
def test_intervals_of_a_single_mark_hold_near_the_least_width(q):
    rng = random.Random(11)
    fits = [fit_trials([read(9.400, q, noise=lambda: rng.gauss(0, 0.0015))], ROLLER) for _ in range(500)]
    held = sum(fit.magnitude[0] <= q <= fit.magnitude[1] for fit in fits) / len(fits)
    widest = max(fit.magnitude[1] for fit in fits)
    assert held >= 0.94, f"{held:.1%} of intervals hold {q} in"
    assert widest < q + 0.062, f"the widest interval reaches {widest:.4f} in"


def test_the_fit_is_the_same_in_metres():
    inches = fit_trials([read(9.300, 0.130, lines=True), read(9.400, 0.080)], ROLLER).solutions[0]
    small = Roller(1.550 * 0.0254, 0.560 * 0.0254, 1.625, contact_band=0.0)
    trials = [
        TrialReadings(
            t.length * 0.0254, *(x and tuple(e * 0.0254 for e in x) for x in (t.mark, t.contacts)), 0.0015 * 0.0254
        )
        for t in (read(9.300, 0.130, lines=True), read(9.400, 0.080))
    ]
    metres = fit_trials(trials, small).solutions[0]
    assert (metres.low / 0.0254, metres.high / 0.0254) == pytest.approx((inches.low, inches.high), abs=1e-5)
    assert metres.chi2 == pytest.approx(inches.chi2, abs=1e-4)
