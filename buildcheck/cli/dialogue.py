"""Questions and answers in plain lines: 40 columns, ASCII, no escape codes; ended input is never an answer."""

from __future__ import annotations

import sys
import textwrap
from collections.abc import Callable
from typing import TypeVar

from buildcheck.core.escape import one_line

WIDTH = 40
_PLAIN = str.maketrans(
    {"±": "+/-", "°": " deg", "–": "-", "—": "-", "’": "'", "‘": "'", "…": "...", "→": "->", "²": "2"}
)

T = TypeVar("T")


class InputEndedError(Exception):
    """The input ended before a question was answered."""


class SkipError(Exception):
    """``s``: leave this valve and go on."""


class BackError(Exception):
    """``b``: back to the question before."""


class QuitError(Exception):
    """``q``: stop here."""


COMMANDS = {"s": SkipError, "b": BackError, "q": QuitError}
KEYS = "s skips this valve, b goes back, q stops."


def say(text: str) -> None:
    """Write a text in lines of at most 40 columns, in ASCII."""
    plain = one_line(text).translate(_PLAIN).encode("ascii", "backslashreplace").decode()
    for line in textwrap.wrap(plain, WIDTH) or [""]:
        print(line)


def ask(question: str, explanation: str, read: Callable[[str], T]) -> T:
    """Ask until ``read`` takes the answer; the ValueError that it raises is shown.

    Raises InputEndedError, and the errors of ``s``, ``b`` and ``q``.
    """
    while True:
        say(question)
        answer = _line()
        if answer in COMMANDS:
            raise COMMANDS[answer]
        if answer in ("", "?"):
            say(f"{explanation} {KEYS}")
            continue
        try:
            return read(answer)
        except ValueError as error:
            say(str(error))


def ask_yes(question: str, explanation: str) -> bool:
    """Ask for y or n."""
    return ask(f"{question} (y/n)", explanation, _yes)


def _yes(answer: str) -> bool:
    if answer not in ("y", "n", "yes", "no"):
        raise ValueError("Enter y or n.")
    return answer[0] == "y"


def _line() -> str:
    sys.stdout.write("> ")
    sys.stdout.flush()
    line = sys.stdin.readline()
    if not line:
        print()
        raise InputEndedError("the input ended before the question was answered")
    return line.strip()
