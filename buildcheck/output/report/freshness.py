"""Whether a file on disk is what its inputs give; of a report, stale and edited by hand are told apart."""

from __future__ import annotations

import re

from buildcheck.output.report.digests import digest

_NAMES = "shipped rules|team's rules|team's settings"
_DIGEST = re.compile(rf"^- (\S+|{_NAMES}) `([0-9a-f]{{16}})`$", re.MULTILINE)
_SEAL = re.compile(r"- all above `([0-9a-f]{16})`\n\Z")
_MARKS = re.compile(
    r"^(?:- (?:shipped rules|all above) `[0-9a-f]{16}`|\| Build \| Stage \| Verdict \| Order \|)\r?$", re.MULTILINE
)


def is_own(found: str) -> bool:
    """Whether a text is a report or an overview, be it old, edited by hand or merged: nobody else's is overwritten."""
    return _MARKS.search(found) is not None


def differs(fresh: str, found: str) -> str:
    """What is wrong with a file that names no inputs; empty when current; line endings do not count."""
    return "" if found.replace("\r\n", "\n") == fresh else "is stale, or was edited by hand"


def sealed(text: str) -> str:
    """A report's text with the digest of itself as its last line."""
    return f"{text}- all above `{digest([text.encode()])}`\n"


def report_differs(fresh: str, found: str) -> str:
    """What is wrong with the report on disk: empty when current; line endings do not count."""
    found = found.replace("\r\n", "\n")
    if found == fresh:
        return ""
    made, now = dict(_DIGEST.findall(found)), dict(_DIGEST.findall(fresh))
    changed = sorted(name for name in made.keys() | now.keys() if made.get(name) != now.get(name))
    if changed and made:
        edited = "" if _is_whole(found) else ", and was edited by hand besides"
        return f"is stale: {', '.join(changed)} changed since it was written{edited}"
    if not _is_whole(found):
        return "was edited by hand, or merged from two: its text is not what was written"
    return "is not what would be written now, though no input changed: by another version, or pictures came or went"


def _is_whole(text: str) -> bool:
    """Whether a report still is as it was written."""
    seal = _SEAL.search(text)
    return seal is not None and digest([text[: seal.start()].encode()]) == seal[1]
