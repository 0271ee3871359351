"""Keeps what builders write from becoming Markdown: every value is shown as written, on one line."""

from __future__ import annotations

import re

from buildcheck.core.escape import one_line

_ACTIVE = re.compile(r"[\\`*_{}\[\]<>#|~!@$&]")
_OPENING = re.compile(r" ?(?:(?:[-+]|\d+[.)])(?: |$)|[-=][-= ]*$)")
_LINKED = r"(?i)://|(?:mailto|xmpp):|www\."
_EMOJI = r"(?i):(?=(?:[+-]1|100|1234|[\\0-9_+-]*[a-z][\\a-z0-9_+-]*):)"
_ISSUE = r"(?i)\bGH-(?=\d)"
"""Rare: searched for, and compiled, only if a character of theirs is there."""
_GAP = "&#8203;"
"""An empty space that parts what would become a link or a mention, or begin a list, before and after rendering."""


def md(text: object) -> str:
    r"""A text as literal Markdown inside a line or a table cell.

    >>> md("a|b <b> @x `y`")
    'a\\|b \\<b\\> \\@&#8203;x \\`y\\`'
    >>> md(":tada: #12 GH-7 marks.yaml:21:42")
    ':&#8203;tada: \\#&#8203;12 GH-&#8203;7 marks.yaml:21:42'
    """
    line = one_line(str(text))
    if line.isalnum():
        return line
    safe = _ACTIVE.sub(_escaped, re.sub("^ +", " ", line) if line.startswith("  ") else line)
    if ":" in safe or "." in safe:
        safe = re.sub(_LINKED, _parted, safe)
    if safe.count(":") > 1:
        safe = re.sub(_EMOJI, _ended, safe)
    if "-" in safe:
        safe = re.sub(_ISSUE, _ended, safe)
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
