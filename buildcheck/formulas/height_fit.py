"""All trials of one valve's roller tip, fitted together for the height error at the last trial.

Every mark says |q| of its own trial, every pair of contact lines says q with its sign, and the lengths or
shims say how far apart the trials stand. Weighted least squares on the exact geometry, 95 % intervals
from chi-square.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from functools import cache
from itertools import pairwise
from math import inf, sqrt
from typing import NamedTuple

from buildcheck.formulas.chi_square import chi_square_limit
from buildcheck.formulas.misfit import Misfit, Roller, TrialReadings
from buildcheck.formulas.numeric import find_root, minimise
from buildcheck.record import Record

__all__ = ["Fit", "Roller", "Solution", "TrialReadings", "fit_trials"]

RISE = 3.84  # of chi-square at the ends of a 95 % interval of one quantity
SIGN = 9.0  # by so much chi-square must be larger for the other sign before the sign counts as known

Point = tuple[float, float]


class Solution(Record):
    """A height error at the last trial that the readings allow: q, u(q) to first order, 95 % interval (m)."""

    q: float
    u: float
    low: float
    high: float
    chi2: float


class Fit(Record):
    """What all trials together say of the height error at the last trial's length or shim.

    solutions: one, or two where the sign stays unknown, best first, each with the interval of its own sign;
    residuals: each trial's misfit at the best one, in standard uncertainties; doubtful: index of the one trial
    that does not fit the others (pushrod not seated, or lifter off the base circle); inconsistent: the readings
    fit no height error; lower_bound: only marks that ran off were read.
    """

    solutions: tuple[Solution, ...]
    residuals: tuple[float, ...]
    doubtful: int | None
    inconsistent: bool
    lower_bound: bool

    @property
    def sign_known(self) -> bool:
        """Whether every height error lies on one side of zero, those of the other sign worse by SIGN at least."""
        return all(s.low > 0 for s in self.solutions) or all(s.high < 0 for s in self.solutions)

    @property
    def magnitude(self) -> tuple[float, float]:
        """The least and the largest |q| that the readings allow (m)."""
        least = min(max(s.low, -s.high, 0.0) for s in self.solutions)
        return least, max(max(-s.low, s.high) for s in self.solutions)


def fit_trials(trials: Sequence[TrialReadings], roller: Roller) -> Fit:
    """Fits the height error at the last trial to the marks and contact lines of all trials.

    Args: trials: in the order made, at zero lash; roller: what is known of the rocker (m).
    Returns: Fit; the lengths' own uncertainty is in its intervals already. Where the contact band was not
    measured and any contact lines were read, these alone are used. ValueError where nothing was read, a
    reading lies beyond the arm, or has no uncertainty.
    Source: weighted least squares; interval where chi-square stays within 3.84 of its least; a sign counts as
    known if the other one raises chi-square by 9 (common practice, no published source).

    >>> roller = Roller(1.550, 0.560, 1.625, contact_band=0.0)
    >>> fit = fit_trials([TrialReadings(9.400, contacts=(0.1210, 0.1357), u_edge=0.0015)], roller)
    >>> round(fit.solutions[0].q, 3), round(2 * fit.solutions[0].u, 3), fit.sign_known
    (0.04, 0.012, True)
    >>> both = fit_trials([TrialReadings(9.400, mark=(0.100, 0.14239), u_edge=0.0015)], roller)
    >>> [(round(s.q, 3), round(s.low, 3), round(s.high, 3)) for s in both.solutions]
    [(0.08, 0.062, 0.097), (-0.08, -0.097, -0.062)]
    """
    misfit = Misfit(trials, roller)
    used = misfit.used()
    solutions = _solutions(misfit, used)
    best = solutions[0]
    inconsistent = best.chi2 > chi_square_limit(misfit.freedom(used))
    return Fit(
        solutions,
        tuple(sqrt(misfit.chi2(best.q, [i])) for i in range(len(trials))),
        _doubtful(misfit, used) if inconsistent else None,
        inconsistent,
        misfit.freedom(used) < 0,
    )


class Expectation(NamedTuple):
    """A distance on the tip that trials predict for another one, and what was read there (m)."""

    of_width: bool
    expected: float
    entered: float


def expected_reading(
    trials: Sequence[TrialReadings], roller: Roller, odd: int, others: Collection[int]
) -> Expectation | None:
    """What other trials predict for the reading of one trial that fits them worst.

    Args: trials, roller: as for fit_trials; odd: the trial's index; others: the indices of those that predict it.
    Returns: the width of its mark, or else the distance from shut_at to open_at; None where it or they have no
    reading. Of two height errors that the others allow, the one that fits the trial better predicts.

    >>> roller = Roller(1.550, 0.560, 1.625, contact_band=0.0)
    >>> low = TrialReadings(9.400, contacts=(0.1210, 0.1357), u_edge=0.0015)
    >>> high = TrialReadings(9.400, contacts=(0.1210, 0.1557), u_edge=0.0015)
    >>> of_width, expected, entered = expected_reading([low, high], roller, 1, [0])
    >>> of_width, round(expected, 4), round(entered, 4)
    (False, -0.0147, -0.0347)
    """
    misfit = Misfit(trials, roller)
    known = [i for i in misfit.used() if i in others]
    if not known or not misfit.readings[odd]:
        return None
    solutions = _solutions(misfit, known)
    best = min(solutions, key=lambda solution: misfit.chi2(solution.q, [odd]))
    reading, expected = max(misfit.expected(odd, best.q), key=lambda pair: abs(pair[0].value - pair[1]))
    band = reading.band * (roller.contact_band or 0.0)
    return Expectation(reading.band > 0, expected + band, reading.value + band)


MOST_SUSPECTS = 3


def _doubtful(misfit: Misfit, used: list[int]) -> int | None:
    """The one trial without which the others agree; None where leaving out another would do as well.

    One pass over the height errors at which readings fit ranks the trials; only the best of them are fitted.
    """
    if len(used) < 2:
        return None
    each = [misfit.without_each(q, used) for q in misfit.turning_points(used)]
    limits = {i: chi_square_limit(misfit.freedom([j for j in used if j != i])) for i in used}
    least = {i: min(row[place] for row in each) - limits[i] for place, i in enumerate(used)}
    suspects = sorted(used, key=lambda i: (least[i], i))[:MOST_SUSPECTS]
    culprits = [i for i in suspects if _least(misfit, [j for j in used if j != i]) <= limits[i]]
    return culprits[0] if len(culprits) == 1 else None


def _least(misfit: Misfit, chosen: Collection[int]) -> float:
    return min(y for _, y in _valley_points(misfit, chosen))


def _solutions(misfit: Misfit, chosen: Collection[int]) -> tuple[Solution, ...]:
    points = _valley_points(misfit, chosen)
    least = min(y for _, y in points)
    valleys = [p for p in _valleys(points) if p[1] < least + SIGN]
    sides = [[p for p in valleys if p[0] > 0], [p for p in valleys if p[0] < 0]]
    if not all(sides) or any(q == 0 for q, _ in valleys):
        near = [p for p in valleys if p[1] <= least + RISE]
        return (_solution(misfit, chosen, near, _accepted(misfit, chosen, points, least + RISE)),)
    found = [
        _one_sided(misfit, chosen, points, side, sign, least + RISE) for sign, side in zip((1, -1), sides, strict=True)
    ]
    return tuple(sorted(found, key=lambda s: round(s.chi2, 6)))


def _one_sided(
    misfit: Misfit, chosen: Collection[int], points: list[Point], side: list[Point], sign: int, level: float
) -> Solution:
    """The solution of one sign, its interval below a level; within RISE of its own least if that lies above it."""
    least = min(chi2 for _, chi2 in side)
    level = level if least <= level else least + RISE
    spans = _accepted(misfit, chosen, [p for p in points if sign * p[0] >= 0], level)  # zero is one of the points
    near = [p for p in side if p[1] <= level]
    return _solution(misfit, chosen, near, spans)


def _solution(misfit: Misfit, chosen: Collection[int], valleys: list[Point], spans: list[Point]) -> Solution:
    q, chi2 = min(valleys, key=lambda p: (p[1], abs(p[0])))
    information = misfit.at(q, chosen).information
    u = 1 / sqrt(information) if information > 0 else inf
    return Solution(q, u, min(low for low, _ in spans), max(high for _, high in spans), chi2)


def _valley_points(misfit: Misfit, chosen: Collection[int]) -> list[Point]:
    """Height errors in rising order with chi-square between which it only rises or only falls."""

    @cache
    def chi2(q: float) -> float:
        return misfit.chi2(q, chosen)

    turns = misfit.turning_points(chosen)
    tol = misfit.roller.reach * 1e-6
    places = {*turns, *(_valley(chi2, a, b, tol) for a, b in pairwise(turns))}
    return [(q, chi2(q)) for q in sorted(places)]


def _valley(chi2: Callable[[float], float], low: float, high: float, tol: float) -> float:
    """Where chi-square is least between two neighbouring turns; beside one of them if it only rises or only falls."""
    step = min(tol, (high - low) / 4)
    if chi2(low + step) <= chi2(low + 2 * step):
        return low + step
    if chi2(high - step) <= chi2(high - 2 * step):
        return high - step
    return minimise(chi2, low, high, tol)


def _valleys(points: list[Point]) -> list[Point]:
    heights = [inf, *(y for _, y in points), inf]
    return [p for i, p in enumerate(points) if heights[i] >= p[1] <= heights[i + 2]]


def _accepted(misfit: Misfit, chosen: Collection[int], points: list[Point], level: float) -> list[Point]:
    """The stretches between neighbouring points on which chi-square stays below a level."""

    def over(q: float) -> float:
        return misfit.chi2(q, chosen) - level

    tol = misfit.roller.reach * 1e-6
    spans = []
    for one, other in pairwise((q, chi2 - level) for q, chi2 in points):
        low, high = one[0], other[0]
        if one[1] <= 0 < other[1]:
            high = find_root(over, one, other, tol)
        elif other[1] <= 0 < one[1]:
            low = find_root(over, other, one, tol)
        if one[1] <= 0 or other[1] <= 0:
            spans.append((low, high))
    return spans
