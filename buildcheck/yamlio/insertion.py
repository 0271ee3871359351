"""Adds to a YAML text at one position or changes one value there; every other byte stays what it is."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

from buildcheck.record import Record
from buildcheck.yamlio.documents import plain, read
from buildcheck.yamlio.entry_text import flow_text, item_lines, key_lines
from buildcheck.yamlio.spans import Span, spans

Path = tuple[str | int, ...]

_BREAK = re.compile("\r\n|[\r\n\x85\u2028\u2029]")
_BRACKETS_ALONE = re.compile(r"\[[ \t]*\]")


class UnsupportedLayoutError(ValueError):
    """The text is written in a way that leaves no position for the new value."""


class Splice(Record):
    """Replaces what lies between two indices of a text, which may be nothing."""

    start: int
    end: int
    text: str

    def apply(self, text: str) -> str:
        """The text with the replacement."""
        return f"{text[: self.start]}{self.text}{text[self.end :]}"


def append_item(text: str, path: Path, value: Any) -> Splice:
    """Add a value at the end of the list at a path, in the style of the list.

    Raises UnsupportedLayoutError if the result would not read as the old content with that one addition.
    """
    at = _root(text).at(*path)
    if not at.flow:
        return _checked(text, _block_item(text, at, value), path, value)
    if not at.items and _stands_alone(text, at) and isinstance(value, dict):
        return _checked(text, _first_item(text, at, path, value), path, value)
    return _checked(text, _in_brackets(at, flow_text(value)), path, value)


def insert_item(text: str, path: Path, index: int, value: Any) -> Splice:
    """Add a value before the one at an index of the list at a path; behind the last one as append_item does.

    Raises UnsupportedLayoutError as append_item does.
    """
    at = _root(text).at(*path)
    if index == len(at.items):
        return append_item(text, path, value)
    return _checked(text, _before_item(text, at, index, value), path, value, index)


def add_key(text: str, path: Path, key: str, value: Any) -> Splice:
    """Add a key to the mapping at a path, behind its last one; to an empty text, as its only key.

    Raises UnsupportedLayoutError as append_item does.
    """
    root = spans(text)
    if root is None or root.start == root.end:
        at_end = "" if not text or _BREAK.fullmatch(text[-1]) else _line_break(text, len(text))
        splice = Splice(len(text), len(text), at_end + _lines(key_lines({key: value}, 0), _line_break(text, 0)))
        return _checked(text, splice, (key,), value)
    at = root.at(*path)
    if at.flow:
        return _checked(text, _in_brackets(at, flow_text({key: value})[1:-1]), (*path, key), value)
    column = _column(text, next(iter(at.keys.values())))
    return _checked(text, _new_lines(text, at, key_lines({key: value}, column), column), (*path, key), value)


def replace_value(text: str, path: Path, value: Any) -> Splice:
    """Write another value in place of the one at a path.

    Raises UnsupportedLayoutError for a list, a mapping or a text of several lines, and as append_item does.
    """
    at = _root(text).at(*path)
    if at.is_list or at.is_mapping or at.block_text:
        raise UnsupportedLayoutError(f"{_shown(path)} is not one plain value")
    return _checked(text, Splice(at.start, at.end, flow_text(value)), path, value)


def _root(text: str) -> Span:
    root = spans(text)
    if root is None:
        raise UnsupportedLayoutError("the file has no content")
    return root


def _block_item(text: str, at: Span, value: Any) -> Splice:
    column = _column(text, at.start)
    dash = text[at.start : at.items[0].start]
    lead = dash if re.fullmatch("- +", dash) else "- "
    return _new_lines(text, at, item_lines(value, column, lead), column)


def _before_item(text: str, at: Span, index: int, value: Any) -> Splice:
    if at.flow:
        position = at.items[index].start
        return Splice(position, position, f"{flow_text(value)}, ")
    column = _column(text, at.start)
    if index:
        return _new_lines(text, at.items[index - 1], item_lines(value, column), column)
    broken = _line_break(text, len(text))
    lines = broken.join([*item_lines(value, column), " " * column])
    return Splice(at.start, at.start, lines.removeprefix(" " * column))


def _first_item(text: str, at: Span, path: Path, value: dict[str, Any]) -> Splice:
    """The first value of a list that is written ``[]``: it goes below its key, one line for each of its keys."""
    column = _column(text, _root(text).at(*path[:-1]).keys[str(path[-1])]) + 2
    found = _BREAK.search(text, at.end)
    comment = text[at.end : found.start() if found else len(text)].rstrip()
    start = len(text[: at.start].rstrip(" \t"))
    broken = _line_break(text, at.end)
    return Splice(
        start, at.end + len(comment), comment + broken + _lines(item_lines(value, column), broken).removesuffix(broken)
    )


def _stands_alone(text: str, at: Span) -> bool:
    """Whether an empty pair of brackets ends its line in a file that is not written in braces."""
    found = _BREAK.search(text, at.end)
    rest = text[at.end : found.start() if found else len(text)]
    in_braces = _root(text).flow
    return not in_braces and _BRACKETS_ALONE.fullmatch(text[at.start : at.end]) is not None and _is_comment(rest)


def _is_comment(rest: str) -> bool:
    return not rest.strip() or re.match(r"[ \t]+#", rest) is not None


def _in_brackets(at: Span, text: str) -> Splice:
    inside = at.items or tuple(at.entries.values())
    position = inside[-1].end if inside else at.start + 1
    return Splice(position, position, f", {text}" if inside else text)


def _new_lines(text: str, at: Span, lines: list[str], column: int) -> Splice:
    """Lines below the last one of a value, and below comments that are indented further than it."""
    position = _content_end(text, at.last)
    found = _BREAK.search(text, position)
    if found is None:
        broken = _line_break(text, len(text))
        return Splice(len(text), len(text), broken.join(["", *lines]))
    start = found.start() if at.last.block_text and position == found.end() else found.end()
    start = _past_comments(text, start, column)
    return Splice(start, start, _lines(lines, _line_break(text, start)))


def _content_end(text: str, last: Span) -> int:
    """The index on the last line of a value; of a kept block text the blank lines belong to it."""
    if not last.block_text:
        return last.end
    kept = re.match(r"[|>][0-9]?\+", text[last.start :])
    end = last.end if kept else len(text[: last.end].rstrip())
    return max(end - 1, last.start) if kept else end


def _past_comments(text: str, start: int, column: int) -> int:
    """Behind comment lines that belong to the value above them."""
    while (line := re.compile(r"( *)#[^\r\n\x85\u2028\u2029]*").match(text, start)) and len(line[1]) > column:
        found = _BREAK.match(text, line.end())
        if found is None:
            return start
        start = found.end()
    return start


def _column(text: str, index: int) -> int:
    before = max((found.end() for found in _BREAK.finditer(text, 0, index)), default=0)
    return index - before


def _line_break(text: str, index: int) -> str:
    """The line break in use at an index: the one before it, else the first of the text."""
    before = [found[0] for found in _BREAK.finditer(text, 0, index)]
    first = _BREAK.search(text)
    return before[-1] if before else first[0] if first else "\n"


def _lines(lines: list[str], broken: str) -> str:
    return "".join(f"{line}{broken}" for line in lines)


def _checked(text: str, splice: Splice, path: Path, value: Any, index: int | None = None) -> Splice:
    """The splice, once its result reads as the old content with that one difference; ``index`` in a list."""
    before, after = read(text.encode(), "").root, read(splice.apply(text).encode(), "").root
    expected = _with(plain(before) if before is not None else {}, path, value, index)
    if after is None or plain(after) != expected or list(_orders(plain(after))) != list(_orders(expected)):
        raise UnsupportedLayoutError(f"{_shown(path)} leaves no position for another value")
    return splice


def _with(data: Any, path: Path, value: Any, index: int | None = None) -> Any:
    """Plain data with a value put into the list at a path (at its end without an index), or under the last key."""
    if not path:
        if not isinstance(data, list):
            return value
        index = len(data) if index is None else index
        return [*data[:index], value, *data[index:]]
    key, rest = path[0], path[1:]
    if isinstance(data, list):
        assert isinstance(key, int)
        return [_with(item, rest, value, index) if place == key else item for place, item in enumerate(data)]
    return {**data, key: _with(data[key], rest, value, index) if key in data else value}


def _orders(data: Any) -> Iterator[Any]:
    """Keys in their order, which comparing mappings leaves out."""
    if isinstance(data, dict):
        yield list(data)
    for child in data.values() if isinstance(data, dict) else data if isinstance(data, list) else ():
        yield from _orders(child)


def _shown(path: Path) -> str:
    return ".".join(map(str, path)) or "the file"
