"""What to try next."""

import pytest
from readings import ROLLER, read

from buildcheck.formulas.height_fit import Roller, TrialReadings, fit_trials
from buildcheck.formulas.next_trial import next_trial, smallest_useful_step
from buildcheck.formulas.rocker import contacts_and_slope, width_at

FIXED = Roller(1.550, 0.560, None, contact_band=0.0)
PITCH = 1 / 28


def proposed(trials, roller=ROLLER, good_enough=0.050):
    return next_trial(fit_trials(trials, roller), trials, roller, good_enough, PITCH)


@pytest.mark.parametrize(("q", "expanded"), [(0.040, 0.0042), (0.100, 0.0071), (0.020, 0.0015)])
def test_the_telling_step_is_the_least_that_parts_the_widths(q, expanded):
    step = smallest_useful_step(1.550, 0.560, q, expanded)
    apart = width_at(1.550, 0.560, q + step) - width_at(1.550, 0.560, q - step)
    assert apart == pytest.approx(2.3 * expanded, abs=1e-8)
    assert apart > 2 * expanded


def test_no_step_shows_the_sign_of_nothing():
    assert smallest_useful_step(1.550, 0.560, 0.0, 0.001) is None
    assert smallest_useful_step(1.550, 0.560, 0.010, 0.050) is None


def test_contact_lines_come_first_and_a_longer_trial_may_serve():
    found = proposed([read(9.400, 0.080)])
    assert found.action == "read contacts"
    assert found.length == pytest.approx(found.height * 1.625)
    assert found.turns == pytest.approx(found.length * 28)


def test_the_step_proposed_does_tell_the_sign():
    for q in (0.080, -0.080):
        step = proposed([read(9.400, q)])
        trials = [read(9.400, q), read(9.400 + step.length, q - step.height)]
        assert fit_trials(trials, ROLLER).sign_known


def test_never_another_length_on_a_fixed_mount():
    found = proposed([read(9.400, 0.080)], FIXED)
    assert found.action == "read contacts"
    assert (found.length, found.turns) == (None, None)
    assert found.height > 0


def test_a_known_error_is_taken_out():
    found = proposed([read(9.400, -0.080, lines=True)])
    assert found.action == "centring trial"
    assert found.height == pytest.approx(-0.080, abs=1e-6)
    assert found.length == pytest.approx(-0.130, abs=1e-5)


def test_the_trial_proposed_comes_out_good_enough():
    trials = [read(9.400, 0.080, lines=True)]
    found = proposed(trials, good_enough=0.020)
    trials.append(read(9.400 + found.length, 0.080 - found.height, lines=True))
    assert proposed(trials, good_enough=0.020).action == "none"


def test_where_the_gauge_is_too_coarse_a_further_trial_does_not_help():
    assert proposed([read(9.400, 0.010, lines=True, u=0.006)], good_enough=0.005).action == "finer gauge"


def test_the_trial_that_does_not_fit_is_repeated():
    trials = [read(x, 0.020 + (9.450 - x) / 1.625, lines=True) for x in (9.300, 9.350, 9.400, 9.450)]
    trials[1] = read(9.350, 0.150, lines=True)
    assert (proposed(trials).action, proposed(trials).trial) == ("repeat", 1)


def test_a_mark_that_ran_off_requires_contact_lines():
    assert proposed([TrialReadings(9.400, (0.0, 0.040), u_edge=0.0015, at_edge=True)]).action == "read contacts"


def test_the_step_proposed_parts_both_signs_by_2_3_expanded_uncertainties_of_two_widths():
    """Each width rests on two edges, the difference of two widths on four: u = 2·0.0015 in."""
    step = proposed([read(9.400, 0.080)]).height
    apart = width_at(1.550, 0.560, 0.080 + step) - width_at(1.550, 0.560, 0.080 - step)
    assert apart == pytest.approx(2.3 * 2 * 2 * 0.0015, abs=1e-6)


@pytest.mark.parametrize(("share", "action"), [(1.01, "finer gauge"), (0.99, "centring trial")])
def test_an_error_no_greater_than_its_own_uncertainty_is_not_chased(share, action):
    """One pair of lines: u(q) = √2·u/|d(shut − open)/dq|; the sign is known from 1.96 u on."""
    slope = abs(contacts_and_slope(1.550, 0.560, 0.010)[1])
    coarse = read(9.400, 0.010, lines=True, u=share * 0.010 / 2 * slope / 2**0.5)
    lines_alone = TrialReadings(coarse.length, contacts=coarse.contacts, u_edge=coarse.u_edge)
    assert fit_trials([lines_alone], ROLLER).sign_known
    assert proposed([lines_alone], good_enough=0.005).action == action


def test_a_bare_length_after_the_lines_changes_nothing():
    coarse = read(9.400, 0.010, lines=True, u=0.006)
    assert proposed([coarse, TrialReadings(9.400)], good_enough=0.005).action == "finer gauge"
