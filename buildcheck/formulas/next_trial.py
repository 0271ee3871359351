"""What to try next on one valve, and when another trial would show nothing more."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from buildcheck.formulas.height_fit import Fit, Roller, TrialReadings, fit_trials
from buildcheck.formulas.rocker import width_at
from buildcheck.record import Record, replace

APART = 2.3
"""How many expanded uncertainties of a difference of widths a probe must put between the widths of both signs.

A sign then counts as known (chi-square 9 apart) in about 95 of 100 probes: computed from the normal distribution.
"""

Action = Literal["repeat", "read contacts", "centring trial", "finer gauge", "none"]


class Proposal(Record):
    """The next step on a valve.

    action: repeat a trial (`trial`, its index); read the contact lines, valve shut and at full lift (the
    step, where one is given, shows the sign instead); a trial that brings the mark to its least width; a
    finer gauge, or none, where a further trial shows nothing more. height: by which the pivot should rise
    (m); length: by which the rod grows, on a free mount only (m); turns: the same on the checker.
    """

    action: Action
    trial: int | None = None
    height: float | None = None
    length: float | None = None
    turns: float | None = None


def smallest_useful_step(valve_arm: float, lift: float, height_error: float, expanded: float) -> float | None:
    """The least rise of the pivot after which both signs of a height error predict widths that can be distinguished.

    Args: valve_arm (m); lift (m); height_error: |q| now (m); expanded: uncertainty U of the difference
    between two widths (m).
    Returns: the rise (m), to be multiplied by 1 + 1/R for the pushrod; None where no rise within nine
    tenths of the arm's reach parts them by more than 2.3 U. Source: width_at for q - t against -q - t,
    solved by bisection.

    >>> step = smallest_useful_step(1.550, 0.560, 0.060, 0.0085)
    >>> round(step * 1.625, 3)
    0.071
    >>> smallest_useful_step(1.550, 0.560, 0.0, 0.0085) is None
    True
    """
    size = abs(height_error)
    low, high = 0.0, 0.9 * (valve_arm - lift / 2) - size

    def parted(step: float) -> bool:
        return width_at(valve_arm, lift, size + step) - width_at(valve_arm, lift, size - step) > APART * expanded

    if high <= 0 or not parted(high):
        return None
    while high - low > valve_arm * 1e-9:
        middle = (low + high) / 2
        low, high = (low, middle) if parted(middle) else (middle, high)
    return high


def next_trial(
    fit: Fit, trials: Sequence[TrialReadings], roller: Roller, good_enough: float, pitch: float | None = None
) -> Proposal:
    """What to do next on this valve.

    Args: fit: of the trials; trials, roller: as fitted; good_enough: the largest |q| that needs no cure
    (m); pitch: of the checker's thread (m a turn), where turns are wanted.
    Returns: Proposal. On a fixed mount no other length is ever proposed: the step is a shim, in `height`.
    Source: common practice, no published source; the useful step is computed.
    """
    if fit.inconsistent:
        return Proposal("repeat", len(trials) - 1 if fit.doubtful is None else fit.doubtful)
    if fit.magnitude[1] <= good_enough:
        return Proposal("none")
    if fit.sign_known:
        q = fit.solutions[0].q
        if fit.solutions[0].u * 2 >= abs(q):
            return Proposal("finer gauge")
        return _step("centring trial", q, roller, pitch)
    last = [trial for trial in trials if trial.mark or trial.contacts][-1]
    if last.contacts:
        return Proposal("finer gauge")
    size, expanded = abs(fit.solutions[0].q), 4 * last.u_edge  # k = 2, two widths of two edges each
    step = smallest_useful_step(roller.valve_arm, roller.lift, size, expanded)
    return _step("read contacts", step, roller, pitch) if step else Proposal("read contacts")


def finer_by(trials: Sequence[TrialReadings], roller: Roller, good_enough: float) -> float | None:
    """The share of the readings' uncertainty that would leave no doubt about the height error.

    Args: trials, roller: as fitted; good_enough: the largest |q| that needs no cure (m).
    Returns: the share (1), found by bisection to 1 %; None where the readings as they stand would not do
    however sure they were. Source: fit_trials.

    >>> roller = Roller(1.550, 0.560, 1.625, contact_band=0.0)
    >>> round(finer_by([TrialReadings(9.400, contacts=(0.1210, 0.1247), u_edge=0.0100)], roller, 0.050), 1)
    0.5
    """

    def settled(share: float) -> bool:
        finer = [replace(trial, u_edge=trial.u_edge * share) for trial in trials]
        return fit_trials(finer, roller).magnitude[1] <= good_enough

    low, high = 0.01, 1.0
    if not settled(low):
        return None
    while high - low > 0.01:
        middle = (low + high) / 2
        low, high = (middle, high) if settled(middle) else (low, middle)
    return low


def _step(action: Action, height: float, roller: Roller, pitch: float | None) -> Proposal:
    if roller.length_per_height is None:
        return Proposal(action, height=height)
    length = height * roller.length_per_height
    return Proposal(action, height=height, length=length, turns=length / pitch if pitch else None)
