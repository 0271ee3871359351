"""The risk of valves that were not measured: how likely a pushrod ordered for them does not suit them.

A valve that was not measured is assumed to match the measured valves of its type. How far it may differ is estimated
from their spread. All lengths and standard deviations of a call are in one unit.
"""

from collections.abc import Sequence
from math import sqrt

from buildcheck.formulas.distributions import t_probability


def pooled_deviation(deviations: Sequence[float], freedoms: Sequence[float]) -> tuple[float, float]:
    """One standard deviation from several of the same kind, weighted by their degrees of freedom.

    Args: standard deviations; degrees of freedom (1) of each. Returns: the pooled standard deviation and its degrees
    of freedom. ValueError if no degree of freedom is left. Source: NIST/SEMATECH e-Handbook 2.4.4.

    >>> deviation, freedom = pooled_deviation([0.003, 0.005], [4, 4])
    >>> round(deviation, 6), freedom
    (0.004123, 8)
    """
    total = sum(freedoms)
    if total <= 0:
        raise ValueError("a spread needs at least one degree of freedom")
    squares = sum(freedom * deviation**2 for deviation, freedom in zip(deviations, freedoms, strict=True))
    return sqrt(squares / total), total


def misfit_probability(
    length: float, lower: float, upper: float, mean: float, deviation: float, freedom: float, readings: int
) -> float:
    """Chance that a pushrod does not suit a valve that was not measured.

    Args: length ordered; lower, upper: how far below and above ``length`` the required length of a valve may lie for
    the pushrod still to suit it (both positive, the gauge's shared uncertainty already taken off); mean: mean required
    length of the measured valves; deviation: standard deviation between valves; freedom: its degrees of freedom (1);
    readings: measured valves (1). Returns: probability (1), 1 if a side has no room left.

    Source: prediction of one further value from a normal sample with Student's t; the two tails are added.

    >>> round(misfit_probability(9.450, 0.020, 0.020, 9.452, 0.008, 5, 6), 4)
    0.0716
    """
    if readings < 1:
        raise ValueError("a mean needs readings")
    if lower <= 0 or upper <= 0:
        return 1.0
    scale = deviation * sqrt(1 + 1 / readings)
    off = length - mean
    if scale == 0:
        return float(not -upper <= off <= lower)
    below, above = (-room / scale for room in (lower - off, upper + off))
    return min(1.0, t_probability(below, freedom) + t_probability(above, freedom))


def build_risk(probabilities: Sequence[float]) -> float:
    """Chance that at least one pushrod of a build does not suit its valve: an upper bound, the sum of all chances.

    >>> round(build_risk([0.004, 0.003]), 4)
    0.007
    """
    return min(1.0, sum(probabilities))
