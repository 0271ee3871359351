"""How running heat moves preload and lash; lengths in m, temperatures and their rises in K.

Everything grows by length × coefficient × rise. Coefficients hold near 20 °C; alloys differ, hence a spread.
"""

from __future__ import annotations

from buildcheck.record import Record


class Expansion(Record):
    """Coefficient of linear expansion, 1/K, its expanded uncertainty over the alloys, and the handbook."""

    coefficient: float
    expanded: float
    source: str


_CALLISTER = "Callister, Fundamentals of Materials Science and Engineering, 3rd ed, Table B.6"

EXPANSION = {
    "aluminium alloy": Expansion(23e-6, 1.5e-6, f"{_CALLISTER}: cast 356.0 21.5, 6061 23.6"),
    "austenitic stainless steel": Expansion(17e-6, 1.5e-6, f"{_CALLISTER}: 304 17.2, 316 16.0, from memory"),
    "ductile iron": Expansion(10.9e-6, 0.3e-6, f"{_CALLISTER}: 10.6 to 11.2"),
    "grey cast iron": Expansion(11e-6, 0.4e-6, f"{_CALLISTER}: 10.8 to 11.4, from memory"),
    "martensitic stainless steel": Expansion(10.5e-6, 0.6e-6, f"{_CALLISTER}: 440A 10.2, 405 10.8, from memory"),
    "steel": Expansion(
        12e-6,
        0.7e-6,
        f"Bansal, Strength of Materials, Problem 1.28, p. 43: 12; {_CALLISTER}: 11.3 to 11.7, from memory",
    ),
    "titanium alloy": Expansion(9e-6, 0.6e-6, f"{_CALLISTER}: Ti-6Al-4V 8.6, Ti-5Al-2.5Sn 9.4, from memory"),
}


def expansion(material: str) -> Expansion:
    """Coefficient of thermal expansion of a material, named as in the build folder, 1/K.

    >>> expansion("steel").coefficient
    1.2e-05
    """
    if material not in EXPANSION:
        raise ValueError(f"no expansion is known for {material!r}: one of {', '.join(EXPANSION)}")
    return EXPANSION[material]


def growth(length: float, coefficient: float, rise: float) -> float:
    """Growth of a part, m, over a rise of its temperature, K.

    Source: Bansal, Strength of Materials, Problem 1.28, p. 43.

    >>> round(growth(2.0, 12e-6, 70.0), 8)
    0.00168
    """
    if length < 0:
        raise ValueError("the length of a part is not below zero")
    return length * coefficient * rise


def stem_excess(
    stem_length: float, stem_coefficient: float, stem_rise: float, head_coefficient: float, rise: float
) -> float:
    """Rise of the valve tip beyond that of the pivot, m: growth of the valve less that of its head.

    Valid if the pivot is about as high as the tip. Zero is what leaving the stem out assumes.

    >>> round(stem_excess(0.120, 12e-6, 300.0, 23e-6, 70.0), 7)
    0.0002388
    """
    return growth(stem_length, stem_coefficient, stem_rise) - growth(stem_length, head_coefficient, rise)


def gap_growth(pivot: float, rod: float, ratio: float, tip: float | None = None) -> float:
    """Growth of the gap at the pushrod, m: g_pivot·(1 + 1/R) − g_tip/R − g_rod.

    ``pivot``: growth of block and head up to the rocker's pivot; ``tip``: rise of the valve's tip, the
    pivot's where left out; ``rod``: growth of the pushrod; ``ratio``: the rocker's.

    >>> round(gap_growth(pivot=0.0005, rod=0.0002, ratio=1.6), 7)
    0.0003
    """
    if ratio <= 0:
        raise ValueError("a rocker ratio is above zero")
    return pivot * (1 + 1 / ratio) - (pivot if tip is None else tip) / ratio - rod


def preload_hot(preload: float, gap: float) -> float:
    """Preload of a warm engine, m: the cold preload less the growth of the gap; below zero there is clearance.

    >>> round(preload_hot(0.0010, 0.0003), 7)
    0.0007
    """
    return preload - gap


def lash_hot(lash: float, gap: float, ratio: float) -> float:
    """Lash at the valve of a warm engine, m: it grows by R times the growth of the gap.

    >>> round(lash_hot(0.0005, 0.0001, 1.5), 8)
    0.00065
    """
    return lash + ratio * gap
