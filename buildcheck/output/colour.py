"""Colour for people at a terminal, on the level's word alone: without it the text says the same."""

from __future__ import annotations

import os
import re
from typing import TextIO

WHEN = ("auto", "always", "never")
_CODES = {"error": "1;31", "warning": "1;33", "note": "1;36"}
_LEVEL = re.compile(r"^(.*?:\d+:\d+: )(error|warning|note)(?=: )", re.MULTILINE)


def use_colour(when: str, stream: TextIO) -> bool:
    """Whether to colour: as asked, else at a terminal unless NO_COLOR is set to anything but an empty text."""
    if when != "auto":
        return when == "always"
    return stream.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"


def coloured(text: str) -> str:
    r"""Lines in the GNU form with their level coloured.

    >>> coloured("a.yaml:1:2: note: all well [verdict]")
    'a.yaml:1:2: \x1b[1;36mnote\x1b[0m: all well [verdict]'
    """
    return _LEVEL.sub(lambda found: f"{found[1]}\x1b[{_CODES[found[2]]}m{found[2]}\x1b[0m", text)
