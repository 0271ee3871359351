"""Whether a file on disk is what its inputs give; of a report, stale and edited by hand are kept apart."""

from __future__ import annotations

import re

_COMMENT = r"(?m)^<!-- made from ([0-9a-f]{16}) -->$"
_MARKS = (
    r"(?m)^(?:<!-- made from [0-9a-f]{16} -->|- (?:shipped rules|all above) `[0-9a-f]{16}`"
    r"|\| Build \| Stage \| Verdict \| Order \|)\r?$"
)
"""Lines that only our reports and overviews hold; the second kind of them in reports of older versions."""
_MERGE_MARKER = r"(?m)^(?:<{7}|>{7}) "
_UNRESOLVED = "has an unresolved merge: resolve the YAML files, write the report again, then 'git add' it"
_LINE_NUMBER = r"(?<=\.yaml)(?::\d+(?::\d+)?|#L\d+)"


def with_digest(text: str, digest: str) -> str:
    """A report's text with the digest of what it was made from in a hidden comment at its end."""
    return f"{text}\n<!-- made from {digest} -->\n"


def is_own(found: str) -> bool:
    """Whether a text is a report or an overview, be it old, edited by hand or merged: nobody else's is overwritten."""
    return re.search(_MARKS, found) is not None


def differs(fresh: str, found: str) -> str:
    """What is wrong with a file that names no inputs; empty when current; line endings do not count."""
    if found.replace("\r\n", "\n") == fresh:
        return ""
    return _UNRESOLVED if re.search(_MERGE_MARKER, found) else "is stale, or was edited by hand"


def report_differs(fresh: str, found: str) -> str:
    """What is wrong with the report on disk; empty when current.

    Neither line endings count nor the line numbers of its links, which a comment in a build file moves.
    """
    now, then = (re.sub(_LINE_NUMBER, "", text.replace("\r\n", "\n")) for text in (fresh, found))
    if now == then:
        return ""
    if re.search(_MERGE_MARKER, then):
        return _UNRESOLVED
    line = _first_difference(now, then)
    if re.findall(_COMMENT, now) == re.findall(_COMMENT, then):
        return f"was edited by hand, merged or written by another version: the inputs are the same, line {line} differs"
    what = (
        f"line {line} would differ"
        if _without_digest(now) != _without_digest(then)
        else "a value that it does not show"
    )
    return f"is stale: its inputs changed since it was written ({what})"


def _first_difference(now: str, then: str) -> int:
    """The first line of the text on disk that is another, counted from 1."""
    lines = zip(now.split("\n"), then.split("\n"), strict=False)
    return next((number for number, (one, other) in enumerate(lines, 1) if one != other), then.count("\n") + 1)


def _without_digest(text: str) -> str:
    return re.sub(_COMMENT, "", text)
