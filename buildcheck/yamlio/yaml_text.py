"""Turns a file's bytes into text that is safe to parse, or says at which line and column it is not."""

from __future__ import annotations

import codecs
import re
from itertools import islice

from buildcheck.core.problem import Place, Problem

LIMIT_BYTES = 256 * 1024
_WIDE_MARKS = (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE, codecs.BOM_UTF32_BE)
_NOT_PRINTABLE = "[^\t\n\r\x20-\x7e\x85\xa0-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]"
_BLANK_OR_COMMENT = re.compile(r"[ \t]*(?:#.*)?[\r\n]*")
_LINE = re.compile(r"[^\r\n]*(?:\r\n|\r|\n)|[^\r\n]+")
_LONE_RETURN = re.compile("\r(?!\n)")
_MOST_REPORTED = 100


def decode(data: bytes, file: str) -> tuple[str | None, list[Problem]]:
    """The text of a file of at most 256 KB of UTF-8 (a byte order mark is skipped), directives blanked out.

    A carriage return alone is a line break only if the whole file is written so: else not every viewer shows the lines.
    The text is None where it must not reach the parser.
    """
    if len(data) > LIMIT_BYTES:
        return None, [Problem(Place(file), "", f"larger than {LIMIT_BYTES // 1024} KB: split it or cut it down")]
    if data.startswith(_WIDE_MARKS):
        return None, [Problem(Place(file), "", "written in UTF-16 or UTF-32: save it as UTF-8")]
    if b"\0" in data:
        return None, [Problem(Place(file), "", "not a text file: save it as UTF-8")]
    try:
        text = data.removeprefix(codecs.BOM_UTF8).decode("utf-8")
    except UnicodeDecodeError as error:
        before = error.object[: error.start].decode("utf-8")
        message = "not UTF-8 text: save the file as UTF-8"
        return None, [Problem(place_at(before, len(before), file), "", message)]
    if not text.replace("\n", "").isprintable():  # true of all but few files, and compiling the pattern takes long
        first_hidden = islice(re.finditer(_NOT_PRINTABLE, text), _MOST_REPORTED)
        if hidden := [_hidden(text, found, file) for found in first_hidden]:
            return None, hidden
        if "\n" in text and (found := _LONE_RETURN.search(text)):
            message = "holds a carriage return within a line, which can conceal what follows: delete it"
            return None, [Problem(place_at(text, found.start(), file), "", message)]
    return _without_directives(text, file)


def _hidden(text: str, found: re.Match[str], file: str) -> Problem:
    name = f"U+{ord(found[0]):04X}"
    return Problem(place_at(text, found.start(), file), "", f"holds the control character {name}: delete it")


def _without_directives(text: str, file: str) -> tuple[str, list[Problem]]:
    """Blank each line that begins with % before the document starts: it would change how all is read."""
    if "%" not in text:
        return text, []
    problems = []
    lines = _LINE.findall(text)
    for number, line in enumerate(lines):
        if line.startswith("%"):
            problems.append(Problem(Place(file, number + 1, 1), "", "a % directive is not accepted: delete the line"))
            lines[number] = line[len(line.rstrip("\r\n")) :]
        elif not _BLANK_OR_COMMENT.fullmatch(line):
            break
    return "".join(lines), problems


def place_at(text: str, index: int, file: str) -> Place:
    """Line and column of a character, both from 1."""
    before = re.split(r"\r\n|\r|\n", text[:index])
    return Place(file, len(before), len(before[-1]) + 1)
