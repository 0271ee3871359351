"""Whether a pushrod buckles: a straight tube with pinned ends under static load; lengths in m, stress in Pa.

A tube as thick as its radius is a solid rod. Source: Shigley's, 10th ed, §4-12 and 4-13 (from memory).
"""

from __future__ import annotations

from math import pi, sqrt


def _bore(diameter: float, wall: float) -> float:
    if not 0 < wall <= diameter / 2:
        raise ValueError("a pushrod wall is above zero and at most half the diameter")
    return diameter - 2 * wall


def second_moment(diameter: float, wall: float) -> float:
    """Second moment of area of a tube, m⁴: π(D⁴ − d⁴)/64.

    >>> round(second_moment(5 / 16, 0.080), 8)
    0.00044158
    """
    return float(pi * (diameter**4 - _bore(diameter, wall) ** 4) / 64)


def section_area(diameter: float, wall: float) -> float:
    """Metal in the tube's section, m².

    >>> round(section_area(2.0, 1.0), 4)
    3.1416
    """
    return pi * (diameter**2 - _bore(diameter, wall) ** 2) / 4


def slenderness(diameter: float, wall: float, length: float) -> float:
    """Length over radius of gyration, a plain number.

    >>> round(slenderness(0.625, 0.3125, 30), 6)
    192.0
    """
    if length <= 0:
        raise ValueError("a pushrod length is above zero")
    return length / sqrt(second_moment(diameter, wall) / section_area(diameter, wall))


def slenderness_limit(modulus: float, yield_strength: float) -> float:
    """Slenderness from which Euler holds and below which Johnson does: √(2π²E/Sy).

    >>> round(slenderness_limit(30e6, 42e3), 2)
    118.74
    """
    if min(modulus, yield_strength) <= 0:
        raise ValueError("elastic modulus and yield strength are above zero")
    return sqrt(2 * pi**2 * modulus / yield_strength)


def euler_load(diameter: float, wall: float, length: float, modulus: float) -> float:
    """Load at which a slender pushrod buckles, N: π²EI/L². Too high for a stocky one: see critical_load.

    >>> round(euler_load(5 / 16, 0.080, 9.450, 30e6))
    1464
    """
    return float(pi**2 * modulus * section_area(diameter, wall) / slenderness(diameter, wall, length) ** 2)


def johnson_load(diameter: float, wall: float, length: float, modulus: float, yield_strength: float) -> float:
    """Load at which a stocky pushrod gives way, N, by Johnson's parabola; valid below the slenderness limit.

    >>> round(johnson_load(5 / 16, 0.080, 9.450, 30e6, 36e3))
    1348
    """
    ratio = slenderness(diameter, wall, length) / slenderness_limit(modulus, yield_strength)
    return yield_strength * section_area(diameter, wall) * (1 - ratio**2 / 2)


def critical_load(diameter: float, wall: float, length: float, modulus: float, yield_strength: float) -> float:
    """Static load at which a pushrod buckles or yields, N: after Euler if it is slender, after Johnson if it is not.

    >>> round(critical_load(5 / 16, 0.080, 9.450, 30e6, 36e3))
    1348
    """
    if slenderness(diameter, wall, length) >= slenderness_limit(modulus, yield_strength):
        return euler_load(diameter, wall, length, modulus)
    return johnson_load(diameter, wall, length, modulus, yield_strength)


def pushrod_load(spring_force: float, ratio: float) -> float:
    """Load on the pushrod, N, from the spring force at the valve: × rocker ratio. Static load only.

    >>> pushrod_load(300.0, 1.5)
    450.0
    """
    return spring_force * ratio


def buckling_factor(critical: float, load: float) -> float:
    """Buckling load of a pushrod over its static load.

    >>> buckling_factor(1350.0, 450.0)
    3.0
    """
    if load <= 0:
        raise ValueError("a pushrod load is above zero")
    return critical / load
