"""Shows a computed value in the units of the shop, rounded half to even; shown values decide nothing."""

from __future__ import annotations

from decimal import Decimal
from functools import lru_cache
from math import ceil
from types import MappingProxyType

from buildcheck.units.unit_table import UNITS, from_base

_UNIT_AND_DECIMALS = MappingProxyType(
    {
        ("angle", "inch"): ("deg", 1),
        ("angle", "metric"): ("deg", 1),
        ("force", "inch"): ("lbf", 1),
        ("force", "metric"): ("N", 0),
        ("pressure", "inch"): ("psi", 0),
        ("pressure", "metric"): ("MPa", 1),
        ("rate", "inch"): ("lbf/in", 1),
        ("rate", "metric"): ("N/mm", 2),
        ("temperature", "inch"): ("degF", 1),
        ("temperature", "metric"): ("degC", 1),
        ("temperature difference", "inch"): ("degF", 1),
        ("temperature difference", "metric"): ("degC", 1),
        ("torque", "inch"): ("ft-lb", 1),
        ("torque", "metric"): ("Nm", 1),
        ("volume", "inch"): ("cc", 1),
        ("volume", "metric"): ("cc", 1),
    }
)
_LARGE_VOLUME = Decimal("0.0005")  # m³; above it inch shops speak of cubic inches
_ONE_INCH, _25_MM = Decimal("0.99995"), Decimal("24.9995")  # the least that reads 1.0000 in or 25.000 mm


KEPT = 4_096
"""Values kept once shown: a limit is shown with every value that is held to it."""


def round_half_even(x: Decimal | float, decimals: int) -> Decimal:
    """Round for display, a tie going to the even digit; a float counts to 15 figures, its noise cut off.

    Source: ISO 80000-1, annex B, rule A; NIST SP 811 (2008), B.7.1.

    >>> round_half_even(Decimal("6.9749505"), 6)
    Decimal('6.974950')
    """
    return Decimal(_rounded(_finite(x), decimals))


def _rounded(x: Decimal, decimals: int) -> str:
    """The one rounding of everything shown, half to even; zero has no sign."""
    return f"{x:z.{decimals}f}"


def _finite(x: Decimal | float) -> Decimal:
    """A number to 15 figures. ValueError if it is not finite."""
    exact = x if isinstance(x, Decimal) else Decimal(format(x, ".15g"))
    if not exact.is_finite():
        raise ValueError(f"{exact} cannot be shown")
    return exact


@lru_cache(maxsize=KEPT)
def show(si: float | Decimal, kind: str, system: str, finer: int = 0) -> str:
    """Write a value in base units (m, degree, m³, N, N/m, N·m, K, Pa, 1) for an ``inch`` or ``metric`` shop.

    ``finer``: decimals more than usual.

    >>> show(0.000889, "length", "inch"), show(0.0140, "length", "metric"), show(-1e-9, "length", "inch")
    ('0.0350 in', '14.000 mm', '0.0000 in')
    >>> show(0.0004319, "length", "inch", 2)
    '0.017004 in'
    """
    exact = _finite(si)
    if kind in ("count", "ratio"):
        return _without_trailing_zeros(_rounded(exact, 3 + finer))
    if kind == "length":
        return _length(exact, system, finer)
    unit, decimals = _UNIT_AND_DECIMALS[kind, system]
    if kind == "volume" and system == "inch" and abs(exact) > _LARGE_VOLUME:
        unit = "cu in"
    return _in_unit(exact, unit, decimals + finer, difference=kind == "temperature difference")


def _length(exact: Decimal, system: str, finer: int) -> str:
    """In: 4 decimals below 1 in, else 3; mm: 3 decimals below 25 mm, else 2, judged as rounded."""
    unit, change, fine, coarse = ("in", _ONE_INCH, 4, 3) if system == "inch" else ("mm", _25_MM, 3, 2)
    size = from_base(exact, UNITS[unit])
    decimals = fine if abs(size) < change else coarse
    return f"{_rounded(size, decimals + finer)} {unit}"


def _in_unit(exact: Decimal, unit: str, decimals: int, difference: bool = False) -> str:
    value = from_base(exact, UNITS[unit])
    if difference:
        value -= from_base(Decimal(0), UNITS[unit])
    return f"{_rounded(value, decimals)} {unit}"


def _without_trailing_zeros(text: str) -> str:
    return text.rstrip("0").rstrip(".") if "." in text else text


def percent_above(share: float) -> str:
    """A share (1) as a percentage rounded up to a tenth, so that the figure is never below the share.

    >>> percent_above(0.0071), percent_above(0.05), percent_above(1e-9)
    ('0.8 %', '5 %', '0.1 %')
    """
    return f"{_without_trailing_zeros(f'{rounded_up(share) * 100:.1f}')} %"


def rounded_up(share: float) -> float:
    """A share (1) rounded up to a tenth of a percent, at least that.

    >>> rounded_up(0.0071), rounded_up(0.0)
    (0.008, 0.001)
    """
    return max(ceil(round(share * 1000, 6)), 1) / 1000
