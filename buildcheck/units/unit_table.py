"""The closed table of units that a builder may write, each bound to one kind of quantity, and the factors."""

from __future__ import annotations

from decimal import Decimal, localcontext
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Any

from buildcheck.record import Record

BASE = MappingProxyType(
    {  # kind -> the unit that amounts of this kind travel in
        "angle": "degree",
        "force": "newton",
        "length": "meter",
        "pressure": "pascal",
        "rate": "newton_per_meter",
        "ratio": "one",
        "temperature": "kelvin",
        "temperature difference": "kelvin",
        "torque": "newton_meter",
        "volume": "meter ** 3",
    }
)


class Unit(Record):
    """One unit: the spelling that the tool itself writes, its kind, its name in units.txt."""

    spelling: str
    kind: str
    definition: str


# kind, name in units.txt, the spelling that the tool writes, then the other spellings taken for it
_DIGITS = 50  # enough for the largest temperature that is read, to 1e-15 K
_ROWS: tuple[tuple[str, ...], ...] = (
    ("angle", "degree", "deg", "°", "degree", "degrees"),
    ("force", "kilogram_force", "kgf"),
    ("force", "kilonewton", "kN"),
    ("force", "newton", "N"),
    ("force", "pound_force", "lbf"),
    ("length", "centimeter", "cm"),
    ("length", "foot", "ft"),
    ("length", "inch", "in", '"', "″", "”", "in.", "inch", "inches"),
    ("length", "meter", "m"),
    ("length", "micrometer", "um", "µm", "μm"),
    ("length", "millimeter", "mm"),
    ("length", "thou", "thou"),
    ("pressure", "bar", "bar"),
    ("pressure", "gigapascal", "GPa"),
    ("pressure", "kilopascal", "kPa"),
    ("pressure", "ksi", "ksi"),
    ("pressure", "megapascal", "MPa", "N/mm2", "N/mm²"),
    ("pressure", "megapsi", "Mpsi"),
    ("pressure", "pascal", "Pa"),
    ("pressure", "psi", "psi", "lbf/in2", "lbf/in²"),
    ("rate", "kilogram_force_per_millimeter", "kgf/mm"),
    ("rate", "newton_per_meter", "N/m"),
    ("rate", "newton_per_millimeter", "N/mm"),
    ("rate", "pound_force_per_inch", "lbf/in"),
    ("ratio", "one", ""),
    ("ratio", "percent", "%"),
    ("temperature", "celsius", "degC", "°C"),
    ("temperature", "fahrenheit", "degF", "°F"),
    ("temperature", "kelvin", "K"),
    ("torque", "foot_pound", "ft-lb", "ft-lbf", "ft·lbf", "lbf-ft", "lbf·ft", "lb-ft"),
    ("torque", "inch_pound", "in-lb", "in-lbf", "in·lbf", "lbf-in", "lbf·in"),
    ("torque", "newton_meter", "Nm", "N m", "N·m"),
    ("volume", "cubic_centimeter", "cc", "cm3", "cm³", "ml", "mL"),
    ("volume", "cubic_inch", "cu in", "in3", "in³"),
    ("volume", "liter", "L", "l"),
)

UNITS = MappingProxyType(
    {spelling: Unit(spellings[0], kind, definition) for kind, definition, *spellings in _ROWS for spelling in spellings}
)

# spellings that are met on benches and mean two things, or one thing under another name -> what to write
UNIT_SUGGESTIONS = MappingProxyType(
    {
        "'": "ft",
        "C": "degC",
        "F": "degF",
        "c": "degC",
        "ci": "cu in",
        "cid": "cu in",
        "cu. in.": "cu in",
        "cu.in.": "cu in",
        "cuin": "cu in",
        "f": "degF",
        "foot-pounds": "ft-lb",
        "ft lb": "ft-lb",
        "ft lbs": "ft-lb",
        "ft-lbs": "ft-lb",
        "in lb": "in-lb",
        "in-lbs": "in-lb",
        "kg": "kgf or N (kg is a mass)",
        "kg/mm": "kgf/mm",
        "lb": "lbf (force or mass?)",
        "lb/in": "lbf/in (force or mass?)",
        "lbs": "lbf (force or mass?)",
        "lbs/in": "lbf/in (force or mass?)",
        "mil": "thou or mm (mil is used for both)",
        "mils": "thou or mm (mil is used for both)",
        "mm3": "cc",
        "N-m": "Nm",
        "thousandths": "thou",
    }
)


COMMON_FACTORS = MappingProxyType(
    {  # name in units.txt -> factor and zero point; what units.txt gives, so that pint need not be loaded for them
        "celsius": (Decimal("1.00"), Decimal("273.15")),
        "cubic_centimeter": (Decimal("0.000001"), Decimal(0)),
        "cubic_inch": (Decimal("0.000016387064"), Decimal(0)),
        "degree": (Decimal(1), Decimal(0)),
        "fahrenheit": (Decimal("0.5555555555555555555555556"), Decimal("255.3722222222222222222222222")),
        "foot_pound": (Decimal("1.35581794833140040"), Decimal(0)),
        "inch": (Decimal("0.0254"), Decimal(0)),
        "ksi": (Decimal("6894757.293168361336722673445"), Decimal(0)),
        "megapascal": (Decimal(1000000), Decimal(0)),
        "millimeter": (Decimal("0.001"), Decimal(0)),
        "newton": (Decimal(1), Decimal(0)),
        "newton_meter": (Decimal(1), Decimal(0)),
        "newton_per_millimeter": (Decimal(1000), Decimal(0)),
        "one": (Decimal(1), Decimal(0)),
        "percent": (Decimal("0.01"), Decimal(0)),
        "pound_force": (Decimal("4.4482216152605"), Decimal(0)),
        "pound_force_per_inch": (Decimal("175.1268352464763779527559055"), Decimal(0)),
        "psi": (Decimal("6894.757293168361336722673445"), Decimal(0)),
        "thou": (Decimal("0.0000254"), Decimal(0)),
    }
)


@cache
def _registry() -> Any:
    import pint  # a tenth of a second, so only once a rarer unit is met

    definitions = Path(__file__).with_name("units.txt")
    return pint.UnitRegistry(str(definitions), non_int_type=Decimal, cache_folder=None, on_redefinition="raise")


def _factor_and_offset(unit: Unit) -> tuple[Decimal, Decimal]:
    return COMMON_FACTORS.get(unit.definition) or pint_factor(unit.definition, BASE[unit.kind])


@cache
def pint_factor(definition: str, base: str) -> tuple[Decimal, Decimal]:
    """Factor and zero point that turn a unit of units.txt into a base unit.

    >>> pint_factor("kilogram_force", "newton")[0]
    Decimal('9.80665')
    """
    registry = _registry()
    unit = registry.Unit(definition)
    offset, one = (Decimal(registry.Quantity(Decimal(x), unit).to(base).magnitude) for x in (0, 1))
    return one - offset, offset


def to_base(value: Decimal, unit: Unit) -> Decimal:
    """Turn a value in the given unit into the base unit of its kind (m, degree, m³, N, N/m, N·m, K, Pa, 1).

    Exact wherever the factor has an end in decimals; temperatures are kept to 1e-15 K, so that
    68 degF equals 20 degC. Source: NIST SP 811 (2008), App. B.

    >>> to_base(Decimal("0.55"), UNITS["in"]) == to_base(Decimal("13.97"), UNITS["mm"]) == Decimal("0.01397")
    True
    """
    factor, offset = _factor_and_offset(unit)
    if not offset:
        return value * factor
    with localcontext(prec=_DIGITS):
        return round(value * factor + offset, 15)


def difference_to_base(value: Decimal, unit: Unit) -> Decimal:
    """Turn a difference (an uncertainty, a rise of temperature) into the base unit: no zero point is added.

    >>> difference_to_base(Decimal(9), UNITS["degF"])
    Decimal('5.000000000000000')
    """
    factor, offset = _factor_and_offset(unit)
    return round(value * factor, 15) if offset else value * factor


def from_base(value: Decimal, unit: Unit) -> Decimal:
    """Turn a value in the base unit of its kind into the given unit, for showing it.

    >>> from_base(Decimal("293.15"), UNITS["degC"])
    Decimal('20')
    """
    factor, offset = _factor_and_offset(unit)
    return (value - offset) / factor
