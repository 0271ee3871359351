"""Reads values as they are typed at the bench: a unit left out is the build's, and every value leaves with its unit."""

from __future__ import annotations

import re
from decimal import Decimal

from buildcheck.units.number import QuantityError, leading_number, quoted, tidy
from buildcheck.units.quantity import parse

_BETWEEN = (re.compile(r"\s+to\s+"), re.compile(r"\s*[–—]\s*|(?<=[0-9a-z\" ])-(?=[0-9. ])"), re.compile(r"\s*,\s*"))
_FINEST = Decimal("0.0001")
_UNIT = {"inch": "in", "metric": "mm"}


def typed_length(text: str, system: str) -> str:
    """A length with its unit, which is that of an ``inch`` or ``metric`` build if none is typed.

    Raises QuantityError for anything that is not one length.

    >>> typed_length(".151", "inch"), typed_length("5/16 in", "metric"), typed_length("9.412 +/- .002", "inch")
    ('0.151 in', '5/16 in', '9.412 in +/- 0.002 in')
    """
    pieces = re.split(r"\s*(?:\+/-|±)\s*", tidy(text))
    written = " +/- ".join(_number_and_unit(piece, pieces[0], _UNIT[system]) for piece in pieces)
    parse(written, "length")
    return written


def typed_pair(text: str, system: str) -> tuple[str, str]:
    """Two lengths, such as the edges of a mark: ``.151-.182``, ``.151,.182``, ``.151 to .182`` or ``.151 .182``.

    >>> typed_pair(".151-.182", "inch"), typed_pair("5/32 in - 3/16 in", "inch"), typed_pair("3.8 4.6", "metric")
    (('0.151 in', '0.182 in'), ('5/32 in', '3/16 in'), ('3.8 mm', '4.6 mm'))
    """
    plain = tidy(text)
    pieces = next((found for split in _BETWEEN if len(found := split.split(plain)) > 1), plain.split())
    if len(pieces) != 2 or not all(pieces):
        raise QuantityError(f"{quoted(text)} is not two lengths: write them like .151-.182")
    if _unit_of(pieces[1]) and not _unit_of(pieces[0]):
        pieces[0] = f"{pieces[0]} {_unit_of(pieces[1])}"
    return typed_length(pieces[0], system), typed_length(pieces[1], system)


def typed_number(text: str) -> Decimal:
    """A plain number, such as turns of a thread; a fraction counts to four decimals.

    >>> typed_number("9 1/4"), typed_number("9.25"), typed_number("8 1/3")
    (Decimal('9.25'), Decimal('9.25'), Decimal('8.3333'))
    """
    value, rest = leading_number(tidy(text))
    if rest.strip() not in ("", "turn", "turns"):
        raise QuantityError(f"{quoted(text)} is not a plain number: write it like 9.25 or 9 1/4")
    return value if value == value.quantize(_FINEST) else value.quantize(_FINEST)


def typed_angle(text: str) -> str:
    """An angle with its unit, which is a degree if none is typed.

    >>> typed_angle("107"), typed_angle("107 deg")
    ('107 deg', '107 deg')
    """
    written = text if text[-1:].isalpha() else f"{text} deg"
    parse(written, "angle")
    return written


def _number_and_unit(piece: str, first: str, usual: str) -> str:
    _, rest = leading_number(piece)
    number = piece[: len(piece) - len(rest)] if rest else piece
    unit = rest.strip() or _unit_of(first) or usual
    whole = re.sub(r"^([+-]?)[.]", r"\g<1>0.", number)
    return f"{whole} {unit}"


def _unit_of(piece: str) -> str:
    found = re.search(r"[^0-9./ ][^0-9./]*$", piece.strip())
    return found[0].strip() if found else ""
