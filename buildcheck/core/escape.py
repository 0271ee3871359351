"""Keeps what builders write from acting on terminals: invisible characters and non-characters are shown, not sent."""

from __future__ import annotations

import unicodedata

_SHOWN = ("Cc", "Cf", "Co", "Cs", "Zl", "Zp")


def one_line(text: str) -> str:
    r"""A text on one line with nothing in it that a terminal would obey.

    >>> one_line("a\x1b[31mb\nc")
    'a\\x1b[31mb c'
    """
    if text.isprintable():
        return text
    return "".join(_safe(character) for character in " ".join(text.split("\n")))


def at_line_start(text: str) -> str:
    """A path or name that begins a line: ``::`` and ``##`` at its start would be orders to a CI.

    >>> at_line_start("::error::x"), at_line_start("engines/dunlin")
    ('./::error::x', 'engines/dunlin')
    """
    return one_line(f"./{text}" if text.lstrip()[:1] in (":", "#", "-") else text)


def _safe(character: str) -> str:
    code = ord(character)
    nothing = code & 0xFFFE == 0xFFFE or 0xFDD0 <= code <= 0xFDEF
    if unicodedata.category(character) not in _SHOWN and not nothing:
        return character
    return f"\\x{code:02x}" if code < 0x100 else f"\\u{code:04x}" if code < 0x10000 else f"\\U{code:08x}"
