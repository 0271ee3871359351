"""Student's t, chi-square and F: probabilities and quantiles of a few readings.

Written out here because the installed tool does without a statistics library; the tests compare each with one.
Source: NIST/SEMATECH e-Handbook 1.3.6.6 and 1.3.6.7; the continued fraction of the incomplete beta function after
Abramowitz and Stegun, Handbook of Mathematical Functions, 26.5.8 (from memory).
"""

from collections.abc import Callable
from functools import lru_cache
from math import copysign, exp, inf, lgamma, log, log1p

_PRECISION = 1e-15
_STEPS = 1000
_TINY = 1e-300


def t_probability(t: float, freedom: float) -> float:
    """Probability that Student's t lies below t.

    Args: t (1); freedom: degrees of freedom (1), above 0. Returns: probability (1). ValueError without freedom.

    >>> round(t_probability(2.0423, 30), 5)
    0.975
    """
    _refuse_no_freedom(freedom)
    square = t * t
    if square < freedom:
        return 0.5 + copysign(incomplete_beta(0.5, freedom / 2, square / (freedom + square)) / 2, t)
    tail = incomplete_beta(freedom / 2, 0.5, freedom / (freedom + square)) / 2
    return 1 - tail if t > 0 else tail


@lru_cache(maxsize=1000)
def t_quantile(probability: float, freedom: float) -> float:
    """Student's t that a share ``probability`` of all values lies below.

    Args: probability between 0 and 1; freedom: degrees of freedom (1), above 0. Returns: t (1).

    >>> [round(t_quantile(0.975, freedom), 3) for freedom in (1, 2, 30)]
    [12.706, 4.303, 2.042]
    """
    _refuse_no_freedom(freedom)
    if probability < 0.5:
        return -t_quantile(1 - probability, freedom)
    return _quantile(lambda t: t_probability(t, freedom), probability)


def f_probability(ratio: float, freedom: float, freedom_below: float) -> float:
    """Probability that the ratio of two variances lies below ``ratio``.

    Args: ratio (1), not below 0; degrees of freedom (1) of the variance above and below the line. Returns: (1).

    >>> round(f_probability(4.9646, 1, 10), 4)
    0.95
    """
    _refuse_no_freedom(freedom, freedom_below)
    if ratio <= 0:
        return 0.0
    return incomplete_beta(freedom / 2, freedom_below / 2, freedom * ratio / (freedom * ratio + freedom_below))


def f_quantile(probability: float, freedom: float, freedom_below: float) -> float:
    """Ratio of two variances that a share ``probability`` of all ratios lies below.

    >>> round(f_quantile(0.99, 5, 20), 3)
    4.103
    """
    _refuse_no_freedom(freedom, freedom_below)
    return _quantile(lambda ratio: f_probability(ratio, freedom, freedom_below), probability)


def chi_square_probability(value: float, freedom: float) -> float:
    """Probability that chi-square lies below ``value``.

    Args: value (1); freedom: degrees of freedom (1), above 0. Returns: (1). Source: series of the incomplete gamma
    function, Abramowitz and Stegun, Handbook of Mathematical Functions, 6.5.29 (from memory).

    >>> round(chi_square_probability(18.307, 10), 4)
    0.95
    """
    _refuse_no_freedom(freedom)
    if value <= 0:
        return 0.0
    half, x = freedom / 2, value / 2
    term = total = 1 / half
    step = half
    while term > total * _PRECISION:
        step += 1
        term *= x / step
        total += term
    return min(1.0, total * exp(half * log(x) - x - lgamma(half)))


def chi_square_quantile(probability: float, freedom: float) -> float:
    """Chi-square that a share ``probability`` of all values lies below.

    >>> round(chi_square_quantile(0.95, 10), 3)
    18.307
    """
    _refuse_no_freedom(freedom)
    return _quantile(lambda value: chi_square_probability(value, freedom), probability)


def incomplete_beta(a: float, b: float, x: float) -> float:
    """Regularised incomplete beta function I_x(a, b), for x from 0 to 1.

    >>> round(incomplete_beta(2, 3, 0.4), 6)
    0.5248
    """
    if x <= 0:
        return 0.0
    if x >= 1:
        return 1.0
    if x > (a + 1) / (a + b + 2):
        return 1 - incomplete_beta(b, a, 1 - x)
    front = exp(lgamma(a + b) - lgamma(a) - lgamma(b) + a * log(x) + b * log1p(-x))
    return front * _fraction(a, b, x) / a


def _fraction(a: float, b: float, x: float) -> float:
    """The continued fraction of the incomplete beta function, evaluated from its front (modified Lentz method)."""
    both = a + b
    numerator, denominator = 1.0, 1 / (1 - both * x / (a + 1) or _TINY)
    total = denominator
    for m in range(1, _STEPS):
        twice = a + 2 * m
        even = m * (b - m) * x / ((twice - 1) * twice)
        odd = -(a + m) * (both + m) * x / (twice * (twice + 1))
        for term in (even, odd):
            denominator = 1 / (1 + term * denominator or _TINY)
            numerator = 1 + term / numerator or _TINY
            total *= denominator * numerator
        if abs(denominator * numerator - 1) < _PRECISION:
            break
    return total


def _quantile(below: Callable[[float], float], probability: float) -> float:
    if not 0 <= probability <= 1:
        raise ValueError("a probability lies between 0 and 1")
    if probability == 1:
        return inf
    upper = 1.0
    while below(upper) < probability:
        upper *= 2
    lower = 0.0
    while lower < (middle := (lower + upper) / 2) < upper:
        lower, upper = (middle, upper) if below(middle) < probability else (lower, middle)
    return upper


def _refuse_no_freedom(*freedom: float) -> None:
    if min(freedom) <= 0:
        raise ValueError("a spread needs at least one degree of freedom")
