"""Reads the number in a value: decimal, fraction or mixed fraction, never what could be taken two ways."""

from __future__ import annotations

import re
import unicodedata
from decimal import Decimal

LONGEST = 64  # characters of a whole value
_LEAST, _MOST = Decimal("1e-12"), Decimal("1e15")

_DECIMAL = r"(?:[0-9]+(?:\.[0-9]+)?|\.[0-9]+)(?:[eE][+-]?[0-9]{1,3})?"
_NUMBER = re.compile(
    r"(?P<sign>[+-]?)(?:(?:(?P<whole>[0-9]+)[ -])?(?P<top>[0-9]+)/(?P<bottom>[0-9]+)"
    rf"|(?P<decimal>{_DECIMAL}))"
)
_SAME = str.maketrans({"−": "-", "⁄": "/", "∕": "/", "\u00a0": " ", "\u2009": " ", "\u202f": " "})
_VULGAR = re.compile(r"(?P<before>[0-9]?)(?P<fraction>[¼½¾⅐-⅞])")


class QuantityError(ValueError):
    """Says what was found and what would do."""


def quoted(text: str, most: int = 60) -> str:
    """Quote a value for a message: cut to length, control, bidi and zero-width characters spelled out.

    >>> print(quoted("7 in" + chr(27)))
    '7 in\\x1b'
    """
    cut = text if len(text) <= most else text[: most - 1] + "…"
    return "'" + "".join(c if c.isprintable() else ascii(c)[1:-1] for c in cut) + "'"


def tidy(text: str) -> str:
    """Put typographic minus, fraction slash, narrow spaces and fractions such as ½ into their plain form.

    >>> tidy("−1½ in")
    '-1 1/2 in'
    """
    if len(text) > LONGEST:
        raise QuantityError(f"{quoted(text)} is longer than {LONGEST} characters: write number and unit only")
    plain = _VULGAR.sub(_spell_fraction, text.translate(_SAME)).strip(" ")
    if not plain:
        raise QuantityError("the value is empty: write number and unit")
    if not plain.isprintable():
        raise QuantityError(f"{quoted(text)} holds a tab, line break or hidden character: type it again")
    return plain


def _spell_fraction(found: re.Match[str]) -> str:
    fraction = unicodedata.normalize("NFKC", found["fraction"]).replace("⁄", "/")
    return f"{found['before']} {fraction}" if found["before"] else fraction


_NOT_READ = frozenset({"n/a", "na", "nil", "none", "not measured", "ok", "tbd", "unknown"})
"""What people enter in place of a value; none of them is one."""


def leading_number(text: str) -> tuple[Decimal, str]:
    """Split a tidied text into its number and what follows it; the number is finite and means one thing only.

    >>> leading_number("1 1/2 in")
    (Decimal('1.5'), ' in')
    """
    found = _NUMBER.match(text)
    if found is None and text.lower() in _NOT_READ:
        raise QuantityError(
            f"{quoted(text)} is not a reading: enter 0 with its unit for contact, or remove the key until it is read"
        )
    if found is None:
        raise QuantityError(f"{quoted(text)} does not begin with a number: write it like 7.412 or 5/16")
    rest = text[found.end() :]
    _refuse_broken(text, rest)
    size = Decimal(found["decimal"]) if found["decimal"] else _fraction(found)
    _refuse_leading_zeros(found)
    if size and not _LEAST <= size <= _MOST:
        raise QuantityError(f"{quoted(text)}: {found[0]} is too {'large' if size > 1 else 'small'} to be plausible")
    if not size:
        return Decimal(0), rest
    return (-size if found["sign"] == "-" else size), rest


def _refuse_broken(text: str, rest: str) -> None:
    if rest.startswith(","):
        raise QuantityError(f"{quoted(text)}: a comma can mean thousands or decimals; write 7.412 or 7412")
    if re.match(r" *[-–—] *[0-9.]|\.{2}", rest):
        raise QuantityError(f"{quoted(text)} looks like a range: write one value, such as 7.412 +/- 0.002 in")
    if re.match(r" *[0-9./'_*+^]", rest):
        raise QuantityError(f"{quoted(text)} is not one number: write it like 7.412, 5/16 or 1 1/2")


def _refuse_leading_zeros(found: re.Match[str]) -> None:
    for part in ("whole", "top", "bottom", "decimal"):
        if re.match("0[0-9]", found[part] or ""):
            raise QuantityError(f"{found[0]} begins with an extra zero: write 10 or 0.010")


def _fraction(found: re.Match[str]) -> Decimal:
    whole, top, bottom = (int(found[part] or 0) for part in ("whole", "top", "bottom"))
    if bottom == 0:
        raise QuantityError(f"{found[0]} divides by zero: write it like 5/16")
    if found["whole"] and top >= bottom:
        raise QuantityError(f"{found[0]} is not a mixed fraction: the fraction must be below one, as in 1 1/2")
    return Decimal(whole * bottom + top) / Decimal(bottom)
