"""Keeps what builders write from becoming Markdown: every value is shown as written, on one line."""

from __future__ import annotations

import re

from buildcheck.core.escape import one_line

_ACTIVE = re.compile(r"[\\`*_{}\[\]<>#|~!@$&]")
_LINKED = re.compile(r"(?i)://|(?:mailto|xmpp):|www\.")
_EMOJI = re.compile(r"(?i):(?=(?:[+-]1|100|1234|[\\0-9_+-]*[a-z][\\a-z0-9_+-]*):)")
_ISSUE = re.compile(r"(?i)\bGH-(?=\d)")
_OPENING = re.compile(r" ?(?:(?:[-+]|\d+[.)])(?: |$)|[-=][-= ]*$)")
_INDENTED = re.compile("^ +")
_GAP = "&#8203;"
"""An empty space that parts what would become a link or a mention, or begin a list, before and after rendering."""


def md(text: object) -> str:
    r"""A text as literal Markdown inside a line or a table cell.

    >>> md("a|b <b> @x `y`")
    'a\\|b \\<b\\> \\@&#8203;x \\`y\\`'
    >>> md(":tada: #12 GH-7 marks.yaml:21:42")
    ':&#8203;tada: \\#&#8203;12 GH-&#8203;7 marks.yaml:21:42'
    """
    line = _INDENTED.sub(" ", one_line(str(text)))
    safe = _LINKED.sub(_parted, _ACTIVE.sub(_escaped, line))
    safe = _ISSUE.sub(_ended, _EMOJI.sub(_ended, safe))
    return f"{_GAP}{safe}" if _OPENING.match(safe) else safe


def rule_link(rule: str, page: str) -> str:
    """The id of a rule, as a link if the address of its page is known.

    >>> rule_link("some-rule", "https://example.org/some-rule"), rule_link("some-rule", "")
    ('[some-rule](<https://example.org/some-rule>)', 'some-rule')
    """
    return f"[{md(rule)}](<{page}>)" if page else md(rule)


def _escaped(match: re.Match[str]) -> str:
    return f"\\{match.group()}" + (_GAP if match.group() in "@#" else "")


def _ended(match: re.Match[str]) -> str:
    return f"{match.group()}{_GAP}"


def _parted(match: re.Match[str]) -> str:
    return f"{match.group()[:1]}{_GAP}{match.group()[1:]}"
