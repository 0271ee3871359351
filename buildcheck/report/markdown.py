"""Keeps what builders write from becoming Markdown: every value is shown as it stands, on one line."""

from __future__ import annotations

import re

from buildcheck.escape import one_line

_ACTIVE = re.compile(r"([\\`*_{}\[\]<>#|~!@$&])")
_LINKED = re.compile(r"(?i)\b(https?|ftp|mailto|www)([:.])")


def md(text: object) -> str:
    r"""A text as literal Markdown inside a line or a table cell.

    >>> md("a|b <b> @x `y`")
    'a\\|b \\<b\\> &#64;x \\`y\\`'
    """
    safe = _ACTIVE.sub(_entity, one_line(str(text)))
    return _LINKED.sub(r"\1&#8203;\2", safe)


def _entity(match: re.Match[str]) -> str:
    return "&#64;" if match.group() == "@" else f"\\{match.group()}"
