"""Reads one physical value as a builder writes it, such as ``1 1/2 in`` or ``9.412 in +/- 0.002 in``."""

from __future__ import annotations

import re
from collections.abc import Callable
from decimal import Decimal
from functools import lru_cache
from types import MappingProxyType

from buildcheck.record import Record
from buildcheck.units.display import round_half_even, show
from buildcheck.units.number import QuantityError, leading_number, quoted, tidy
from buildcheck.units.thread import Thread, parse_thread
from buildcheck.units.unit_table import UNIT_SUGGESTIONS, UNITS, Unit, difference_to_base, to_base

__all__ = [
    "KINDS",
    "Amount",
    "QuantityError",
    "Thread",
    "check_format",
    "in_si",
    "parse",
    "parse_thread",
    "quoted",
    "round_half_even",
    "show",
]

_EXAMPLE = MappingProxyType(
    {
        "angle": "108 deg",
        "force": "120 lbf or 534 N",
        "length": "0.560 in or 14.2 mm",
        "pressure": "36 ksi or 250 MPa",
        "rate": "300 lbf/in or 52 N/mm",
        "ratio": "1.6",
        "temperature": "68 degF or 20 degC",
        "temperature difference": "90 degF or 50 degC",
        "torque": "20 ft-lb or 27 Nm",
        "volume": "62 cc or 3.8 cu in",
    }
)
KINDS = (*_EXAMPLE, "thread")
_PLUS_MINUS = re.compile(r"\+/-|±")


KEPT = 16_384
"""Values kept once read: the same few hundred occur in every build of a shop."""


class Amount(Record):
    """A value in its base unit, with what was written.

    ``si`` and ``expanded`` are in m, degree, m³, N, N/m, N·m, K, Pa or 1; ``expanded`` is the expanded
    uncertainty (k = 2), None where none is stated; ``unit`` is the table's spelling.
    """

    si: Decimal
    kind: str
    unit: str
    expanded: Decimal | None
    text: str


def without_uncertainty(text: str) -> str:
    """A value as it is written, without what follows ``+/-`` or ``±``.

    >>> without_uncertainty("-0.5 +/- 0.1")
    '-0.5'
    """
    return _PLUS_MINUS.split(tidy(text))[0].strip()


@lru_cache(maxsize=KEPT)
def parse(text: str, kind: str) -> Amount:
    """Read a value with its unit and, behind ``+/-`` or ``±``, its expanded uncertainty (k = 2).

    Range: what means one thing only; everything else raises QuantityError saying what would do.

    >>> parse("5/16 in", "length").si == Decimal("0.0079375")
    True
    >>> parse("9.412 in +/- 0.002 in", "length").expanded
    Decimal('0.0000508')
    """
    plain = tidy(text)
    if "+-" in plain:
        raise QuantityError(f"{quoted(text)}: write the uncertainty behind +/- or ±")
    value_text, *spread_texts = _PLUS_MINUS.split(plain)
    if len(spread_texts) > 1:
        raise QuantityError(f"{quoted(text)} states two uncertainties: keep the expanded one (k = 2)")
    value, name = _split(value_text)
    expanded = None
    if spread_texts:
        spread, spread_name = _split(spread_texts[0])
        name = _shared_unit(text, kind, name, spread_name)
        expanded = _expanded(text, spread, spread_name, kind)
    unit = _unit(text, name, kind)
    return Amount(_si(text, value, unit, kind), kind, unit.spelling, expanded, text)


@lru_cache(maxsize=KEPT)
def in_si(text: str, kind: str) -> tuple[float, float | None]:
    """A value in its base unit and its stated expanded uncertainty (None without one), as floats for formulas.

    >>> in_si("10 mm +/- 1 mm", "length")
    (0.01, 0.001)
    """
    amount = parse(text, kind)
    return float(amount.si), float(amount.expanded) if amount.expanded is not None else None


def check_format(kind: str, text: str) -> None:
    """Raise QuantityError unless the text is a value of that kind (the schemas' ``format`` words)."""
    if kind == "thread":
        parse_thread(text)
    else:
        parse(text, kind)


def _split(text: str) -> tuple[Decimal, str]:
    value, rest = leading_number(text.strip())
    return value, " ".join(rest.split())


def _shared_unit(text: str, kind: str, name: str, spread_name: str) -> str:
    """``7.412 +/- 0.002 in`` shares its unit; of a ratio, value and uncertainty must be written alike."""
    if kind == "ratio" and name != spread_name:
        raise QuantityError(f"{quoted(text)}: write value and uncertainty both with % or both without")
    if name and not spread_name:
        raise QuantityError(f"{quoted(text)}: the uncertainty has no unit; write for example +/- 0.002 in")
    return name or spread_name


def _expanded(text: str, spread: Decimal, name: str, kind: str) -> Decimal:
    if name == "%" and kind != "ratio":
        raise QuantityError(f"{quoted(text)}: write the uncertainty in the value's own unit, not in %")
    if spread < 0:
        raise QuantityError(f"{quoted(text)}: an uncertainty cannot be negative")
    return difference_to_base(spread, _unit(text, name, kind))


def _si(text: str, value: Decimal, unit: Unit, kind: str) -> Decimal:
    convert: Callable[[Decimal, Unit], Decimal]
    convert = difference_to_base if kind == "temperature difference" else to_base
    si = convert(value, unit)
    if kind == "temperature" and si < 0:
        raise QuantityError(f"{quoted(text)} is below absolute zero")
    return si


def _unit(text: str, name: str, kind: str) -> Unit:
    expected = "temperature" if kind == "temperature difference" else kind
    unit = UNITS.get(name)
    if unit is not None and unit.kind == expected:
        return unit
    if not name:
        raise QuantityError(f"{quoted(text)} has no unit: write {_with_article(kind)} such as {_EXAMPLE[kind]}")
    if unit is not None:
        found = f"{quoted(text)} is {_with_article(unit.kind)}"
        raise QuantityError(f"{found}; {_with_article(kind)} is wanted, such as {_EXAMPLE[kind]}")
    raise QuantityError(
        f"{quoted(text)}: unit {quoted(name, 20)} is not known; {_unit_suggestion(name, expected, kind)}"
    )


def _unit_suggestion(name: str, expected: str, kind: str) -> str:
    """The unit that a near miss means, else what such a value looks like."""
    from difflib import get_close_matches

    if name in UNIT_SUGGESTIONS:
        return f"write {UNIT_SUGGESTIONS[name]}"
    spellings = {unit.spelling for unit in UNITS.values() if unit.kind == expected and unit.spelling}
    same_letters = sorted(s for s in spellings if s.lower() == name.lower())
    near = same_letters or get_close_matches(name, sorted(spellings), n=1, cutoff=0.7)
    return f"did you mean {near[0]}?" if near else f"write {_with_article(kind)} such as {_EXAMPLE[kind]}"


def _with_article(kind: str) -> str:
    return f"an {kind}" if kind == "angle" else f"a {kind}"
