"""Decides what a plain YAML scalar is: the core schema of YAML 1.2, so yes, off and dates stay text."""

from __future__ import annotations

import re
from decimal import Decimal, InvalidOperation

_WORDS: dict[str, bool | None] = {
    "": None, "~": None, "null": None, "Null": None, "NULL": None,
    "true": True, "True": True, "TRUE": True, "false": False, "False": False, "FALSE": False,
}  # fmt: skip
_NUMBERS_BEGIN = frozenset("-+.0123456789")
_INTEGER = re.compile(r"[-+]?[0-9]+")
_OCTAL = re.compile(r"0o[0-7]+")
_HEXADECIMAL = re.compile(r"0x[0-9a-fA-F]+")
_FLOAT = re.compile(r"[-+]?(?:\.[0-9]+|[0-9]+(?:\.[0-9]*)?)(?:[eE][-+]?[0-9]+)?")
_NOT_FINITE = re.compile(r"[-+]?\.(?:inf|Inf|INF)|\.(?:nan|NaN|NAN)")
_LONGEST = 64  # characters of a number
_LONGEST_CODED = 10
_MOST_EXPONENT = 100


class ScalarError(ValueError):
    """Says why a plain scalar cannot be taken as a number."""


def resolve(text: str) -> str | int | Decimal | bool | None:
    """Take a plain (unquoted) scalar as null, true or false, a whole or decimal number, else as text.

    Source: YAML 1.2.2, section 10.3.2 (core schema). Numbers that are not finite or of absurd
    size raise ScalarError.

    Whole numbers in octal or hexadecimal raise it too: in a builder's file they are typing errors.

    >>> resolve("1.60"), resolve("yes"), resolve("2024-05-01"), resolve("5/16 in")
    (Decimal('1.60'), 'yes', '2024-05-01', '5/16 in')
    """
    if text in _WORDS:
        return _WORDS[text]
    if text[0] not in _NUMBERS_BEGIN or " " in text:
        return text
    if _NOT_FINITE.fullmatch(text):
        raise ScalarError(f"{text} is not a number that can be measured")
    if _FLOAT.fullmatch(text) or _OCTAL.fullmatch(text) or _HEXADECIMAL.fullmatch(text):
        return _number(text)
    return text


def _number(text: str) -> int | Decimal:
    if len(text) > _LONGEST:
        raise ScalarError(f"a number of more than {_LONGEST} characters is not accepted; quote it if it is a name")
    if text.startswith(("0o", "0x")):
        meant = f"write {int(text, 0)}, " if len(text) <= _LONGEST_CODED else ""
        raise ScalarError(f"{text} is a number in another base: {meant}or quote it if it is a name")
    if _INTEGER.fullmatch(text):
        return int(text)
    try:
        number = Decimal(text)
    except InvalidOperation:  # an exponent of twenty digits
        raise ScalarError(f"{text} is not a plausible size") from None
    if number and abs(number.adjusted()) > _MOST_EXPONENT:
        raise ScalarError(f"{text} is too {'large' if number.adjusted() > 0 else 'small'} to be plausible")
    return number if number else Decimal(0)
