"""Nouns and verbs as their number requires."""

from __future__ import annotations

_THIRD_PERSON = {"do": "does"}


def plural(number: float, noun: str) -> str:
    """A noun as its number requires.

    >>> plural(1, "valve"), plural(0, "valve"), plural(2, "valve")
    ('valve', 'valves', 'valves')
    """
    return noun if number == 1 else f"{noun}s"


def counted(number: int, noun: str) -> str:
    """A noun with its number.

    >>> counted(1, "error"), counted(2, "error")
    ('1 error', '2 errors')
    """
    return f"{number} {plural(number, noun)}"


def verb(number: float, base: str) -> str:
    """The present tense of a verb as the number of its subject requires.

    >>> verb(1, "block"), verb(2, "block"), verb(1, "do")
    ('blocks', 'block', 'does')
    """
    return base if number != 1 else _THIRD_PERSON.get(base, f"{base}s")
