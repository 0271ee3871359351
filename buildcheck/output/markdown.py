"""Keeps what builders write from becoming Markdown: every value is shown as it stands, on one line."""

from __future__ import annotations

import re

from buildcheck.core.escape import one_line

_ACTIVE = re.compile(r"[\\`*_{}\[\]<>#|~!@$&]")
_LINKED = re.compile(r"(?i)://|(?:mailto|xmpp):|www\.")
_OPENING = re.compile(r" ?(?:(?:[-+]|\d+[.)])(?: |$)|[-=][-= ]*$)")
_INDENTED = re.compile("^ +")
_GAP = "&#8203;"
"""An empty space that parts what would become a link or a mention, or begin a list, before and after rendering."""


def md(text: object) -> str:
    r"""A text as literal Markdown inside a line or a table cell.

    >>> md("a|b <b> @x `y`")
    'a\\|b \\<b\\> \\@&#8203;x \\`y\\`'
    """
    line = _INDENTED.sub(" ", one_line(str(text)))
    safe = _LINKED.sub(_parted, _ACTIVE.sub(_escaped, line))
    return f"{_GAP}{safe}" if _OPENING.match(safe) else safe


def _escaped(match: re.Match[str]) -> str:
    return f"\\{match.group()}" + (_GAP if match.group() in "@#" else "")


def _parted(match: re.Match[str]) -> str:
    return f"{match.group()[:1]}{_GAP}{match.group()[1:]}"
