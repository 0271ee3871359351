"""Puts the YAML parser's complaints into words that say what to do at the bench."""

from __future__ import annotations

import re

from ruamel.yaml.error import MarkedYAMLError, YAMLError

from buildcheck.units.number import quoted

_WORDS = (  # part of the parser's words -> ours; the first that is found counts
    ("found character '\\t'", "there is a tab here: indent with spaces"),
    ("that cannot start any token", "a value cannot begin with this character: put it in quotes"),
    ("mapping values are not allowed here", "a colon is not possible here: check the indentation or use quotes"),
    ("while scanning a simple key", "a line without a colon: write key: value"),
    ("while scanning a quoted scalar", "the quote that opens here is never closed"),
    ("while scanning a double-quoted scalar", "a backslash counts in double quotes: use single ones"),
    ("while parsing a flow sequence", "the list [ … ] lacks a comma or its closing bracket"),
    ("while parsing a flow mapping", "the mapping { … } lacks a comma or its closing brace"),
    ("while scanning an alias", "a value cannot begin with *: put it in quotes"),
    ("while scanning an anchor", "a value cannot begin with &: put it in quotes"),
    ("undefined tag handle", "a value cannot begin with !: put it in quotes"),
    ("a tag", "a value cannot begin with !: put it in quotes"),
    ("a block scalar", "after | or > only -, + or a digit is possible"),
    ("expected the node content", "a value or a closing bracket is missing here"),
    ("while parsing a block", "this does not fit the lines above: check the indentation"),
    ("expected '<document start>'", "this does not fit the lines above: check the indentation"),
    ("while scanning a directive", "a line cannot begin with %: put the value in quotes"),
)  # fmt: skip


_MERGE_MARKER = re.compile(r"^(?:<{7} |={7}$|>{7} )", re.MULTILINE)
_UNRESOLVED = (
    "unresolved merge: keep what is right of both versions and delete the lines with <<<<<<<, ======= and >>>>>>>"
)
_EMPTY_LIST = re.compile(r": *\[\] *(#.*)?")


def place_and_message(error: YAMLError, text: str) -> tuple[int, int, str]:
    """Line and column (from 1) and plain words; what is never closed or has no colon is shown where it begins."""
    if marker := _MERGE_MARKER.search(text):
        return text.count("\n", 0, marker.start()) + 1, 1, _UNRESOLVED
    if not isinstance(error, MarkedYAMLError):
        return 1, 1, f"cannot be read as YAML ({quoted(str(error))})"
    words = f"{error.problem or ''} {error.context or ''}"
    at_start = any(part in words for part in ("end of stream", "<stream end>", "scanning a simple key"))
    mark = error.context_mark if at_start and error.context_mark else error.problem_mark
    message = next((ours for theirs, ours in _WORDS if theirs in words), f"cannot be read as YAML ({quoted(words)})")
    if mark and "check the indentation" in message and (line := _empty_list_above(text, mark.line)):
        message = f"entries follow the [] in line {line}: remove the []"
    return (mark.line + 1, mark.column + 1, message) if mark else (1, 1, message)


def _empty_list_above(text: str, line: int) -> int:
    """The line, from 1, that ends in an empty list where only blank lines and comments follow it; 0 where none does."""
    above = [(number, part.strip()) for number, part in enumerate(text.split("\n")[:line], 1)]
    content = [(number, part) for number, part in above if part and not part.startswith("#")]
    return content[-1][0] if content and _EMPTY_LIST.search(content[-1][1]) else 0
