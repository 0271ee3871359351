"""Catches values that no engine has, and suggests the typing error behind them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from decimal import ROUND_CEILING, ROUND_FLOOR, Context, Decimal
from types import MappingProxyType

from buildcheck.units.number import leading_number, tidy
from buildcheck.units.quantity import Amount, QuantityError, parse, without_uncertainty
from buildcheck.units.unit_table import UNITS, from_base

# the units that are meant where another was written by mistake
_OTHER_UNITS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "MPa": ("psi",),
        "N": ("lbf",),
        "N/mm": ("lbf/in",),
        "Nm": ("ft-lb",),
        "cc": ("cu in",),
        "cu in": ("cc",),
        "degC": ("degF",),
        "degF": ("degC",),
        "ft-lb": ("Nm",),
        "in": ("mm", "thou"),
        "ksi": ("MPa",),
        "lbf": ("N",),
        "lbf/in": ("N/mm",),
        "mm": ("in",),
        "psi": ("ksi",),
        "thou": ("mm",),
    }
)
_MOST_HINTS = 2


def implausible(text: str, kind: str, title: str, usual: tuple[str, str], zero: bool = False) -> str | None:
    """Say why a value is absurd for its field, and what may be meant; None where plausible or unreadable.

    ``usual`` holds the least and most from a 50 cc engine to a ship's; ``zero`` lets an exact zero pass.
    Source: common practice, no published source.

    >>> implausible("9.4 mm", "length", "Pushrod length", ("1 in", "150 in"))
    '9.4 mm is implausible for pushrod length; 26 to 3800 mm is accepted; did you mean 9.4 in or 94 mm?'
    """
    try:
        amount = parse(text, kind)
    except QuantityError:
        return None
    if _fits(amount, usual) or (zero and amount.si == 0):
        return None
    hints = [hint for hint in likely_typos(amount) if _reads_as_usual(hint, kind, usual)][:_MOST_HINTS]
    question = f"; did you mean {' or '.join(hints)}?" if hints else ""
    found = f"{tidy(text)} is implausible for {title[:1].lower() + title[1:]}"
    return f"{found}; {_range(usual, amount)} is accepted{question}"


def too_uncertain(text: str, kind: str, title: str, most: str) -> str | None:
    """Say that a value's ``+/-`` is wider than any gauge for it, or has no meaning there; None if it may be entered.

    ``most`` is the widest plausible expanded uncertainty: ``none``, a share such as ``10 %``, or a value of the kind.
    Source: common practice, no published source.

    >>> too_uncertain("9.4250 in +/- 0.5 in", "length", "Checking pushrod length", "0.060 in")
    '+/- 0.5 in is implausible for checking pushrod length; no gauge for it is worse than +/- 0.060 in'
    >>> too_uncertain("9.450 in +/- 0.002 in", "length", "First length", "none")
    'first length has no uncertainty: remove +/- 0.002 in'
    """
    try:
        amount = parse(text, kind)
    except QuantityError:
        return None
    if amount.expanded is None:
        return None
    field, spread = title[:1].lower() + title[1:], f"+/-{tidy(text).replace('±', '+/-').rpartition('+/-')[2]}"
    if most == "none":
        return f"{field} has no uncertainty: remove {spread}"
    if amount.expanded <= _widest(amount, most):
        return None
    return f"{spread} is implausible for {field}; no gauge for it is worse than +/- {most}"


def _widest(amount: Amount, most: str) -> Decimal:
    if most.endswith(" %"):
        return abs(amount.si) * Decimal(most.removesuffix(" %")) / 100
    difference = "temperature difference" if amount.kind == "temperature" else amount.kind
    return parse(most, difference).si


def _reads_as_usual(hint: str, kind: str, usual: tuple[str, str]) -> bool:
    try:
        return _fits(parse(hint, kind), usual)
    except QuantityError:  # ten times the largest number that is read at all
        return False


def _fits(amount: Amount, usual: tuple[str, str]) -> bool:
    low, high = (parse(end, amount.kind).si for end in usual)
    return low <= amount.si <= high


def likely_typos(amount: Amount) -> Iterator[str]:
    """The same number in another unit, then the decimal point one place off."""
    number, _ = leading_number(without_uncertainty(amount.text))
    for other in _OTHER_UNITS.get(amount.unit, ()):
        yield f"{_plain(number)} {other}"
    yield f"{_plain(number * 10)} {amount.unit}"
    yield f"{_plain(number / 10)} {amount.unit}"


def _plain(number: Decimal) -> str:
    return f"{number.normalize():f}"


def _range(usual: tuple[str, str], amount: Amount) -> str:
    """The range as it is set; in the unit of the value if that is another one, to two digits within the range."""
    ends = [parse(end, amount.kind) for end in usual]
    if {end.unit for end in ends} == {amount.unit}:
        return f"{_plain(leading_number(usual[0])[0])} to {usual[1]}"
    low, high = (from_base(end.si, UNITS[amount.unit]) for end in ends)
    return f"{_two_digits(low, ROUND_CEILING)} to {_two_digits(high, ROUND_FLOOR)} {amount.unit}".rstrip()


def _two_digits(number: Decimal, rounding: str) -> str:
    return _plain(Context(prec=2, rounding=rounding).create_decimal(number))
