"""Files that are broken, or meant to break the reader: each ends soon, in problems at their exact places."""

from __future__ import annotations

import time
from functools import cache

import pytest
from hypothesis import given
from hypothesis import strategies as st
from thorough import number

from buildcheck.yamlio.documents import Document, read

_BOMB = b"a: &a [x]\n" + b"".join(b"%c: &%c [*%c, *%c]\n" % (c, c, c - 1, c - 1) for c in range(98, 110))

# file -> the first places and a part of each message there
HOSTILE: list[tuple[bytes, list[tuple[int, int, str]]]] = [
    # anchors, aliases, merge keys, tags, directives, documents
    (b"a: &x 1\nb: *x\n", [(1, 4, "anchor &x"), (2, 4, "alias *x")]),
    (b"a: *b*c", [(1, 4, "alias *b*c")]),
    (b"a: &x {b: 1}\nc:\n  <<: *x\n", [(1, 4, "anchor &x"), (3, 3, "merge key"), (3, 7, "alias")]),
    (b"<<: {a: 1}\n", [(1, 1, "merge key <<")]),
    (b"*a : 1\n", [(1, 1, "alias *a")]),
    (_BOMB, [(1, 4, "anchor &a"), (2, 4, "anchor &b"), (2, 8, "alias *a"), (2, 12, "alias *a")]),
    (b"a: &a [*a]\n", [(1, 4, "anchor &a"), (1, 8, "alias *a")]),
    (b"a: !!str 1\n", [(1, 4, "tag tag:yaml.org,2002:str")]),
    (b"a: ! x\n", [(1, 4, "tag !")]),
    (b"a: !!python/object/apply:os.system [ls]\n", [(1, 4, "tag tag:yaml.org,2002:python/obj")]),
    (b"- !!binary |\n  aGk=\n", [(1, 3, "tag tag:yaml.org,2002:binary")]),
    (b"a: !include x\nb: !!set {c, d}\n", [(1, 4, "tag !include"), (2, 4, "tag")]),
    (b"a: !<x", [(1, 7, "cannot begin with !")]),
    (b"a: !e!x 1\n", [(1, 4, "cannot begin with !")]),
    (b"!" * number(50_000, 200_000), [(1, 1, "tag")]),
    (b"%YAML 1.1\n---\na: yes\n", [(1, 1, "% directive")]),
    (b"# c\n\n%TAG ! x\n%FOO\n---\na: 1\n", [(3, 1, "% directive"), (4, 1, "% directive")]),
    (b"%\n" * 100_000, [(1, 1, "% directive"), (2, 1, "% directive")]),
    (b"a: 1\n---\nb: 2\n", [(2, 1, "second document")]),
    (b"a: 1\n...\n%YAML 1.1\n---\nb\n", [(4, 1, "second document")]),
    (b"---\n---\na: 1\n", [(2, 1, "second document")]),
    # keys
    (b"a: 1\nb: 2\na: 3\n", [(3, 1, "'a' is written twice, first in line 1")]),
    (b"{a: 1, a}", [(1, 8, "'a' is written twice")]),
    (b"x:\n  a: 1\n  a: 2\n  'a': 3\n", [(3, 3, "'a' is written twice"), (4, 3, "'a' is written twice")]),
    (b"a: 1\n" * 50_000, [(2, 1, "'a' is written twice"), (3, 1, "'a' is written twice")]),
    (b"1: a\ntrue: b\n~: c\n", [(1, 1, "found '1'"), (2, 1, "found 'true'"), (3, 1, "found '~'")]),
    (b"? [a]\n: 1\n", [(1, 3, "found a list or mapping")]),
    (b"{{a: 1}: 2}", [(1, 2, "found a list or mapping")]),
    (b"a: b\n: c", [(2, 1, "found nothing")]),
    (b"{: x}", [(1, 3, "found nothing")]),
    (b"a" * 1025 + b": 1", [(1, 1026, "a colon is not possible here")]),
    # numbers
    (b"a: .nan\nb: [-.inf]\n", [(1, 4, ".nan is not a number"), (2, 5, "-.inf is not a number")]),
    (b"a: 1e999\nb: 1e-999\n", [(1, 4, "1e999 is too large"), (2, 4, "1e-999 is too small")]),
    (b"a: 1e99999999999999999999", [(1, 4, "is not a plausible size")]),
    (b"a: " + b"9" * 5000, [(1, 4, "more than 64 characters")]),
    (b"a: 0x" + b"f" * 5000, [(1, 4, "more than 64 characters")]),
    # indentation, brackets, quotes
    (b"a:\n\t- b\n", [(2, 1, "there is a tab here: indent with spaces")]),
    (b"k: \t5", [(1, 4, "there is a tab here")]),
    (b"a: 1\n b: 2", [(2, 3, "a colon is not possible here")]),
    (b"a: b: c", [(1, 5, "a colon is not possible here")]),
    (b"a:\n  b: 1\n c: 2\n", [(3, 2, "does not fit the lines above")]),
    (b"- a\nb: 1", [(2, 1, "does not fit the lines above")]),
    (b"a: 1\nb\nc: 2\n", [(2, 1, "a line without a colon")]),
    (b"a: [1, 2", [(1, 4, "the list [")]),
    (b"a: {b: 1", [(1, 4, "the mapping {")]),
    (b"a: [1 2}\n", [(1, 8, "the list [")]),
    (b"a: [1,", [(1, 7, "a value or a closing bracket is missing")]),
    (b"x: {a: 1}}", [(1, 10, "does not fit the lines above")]),
    (b'a: "x', [(1, 4, "the quote that opens here is never closed")]),
    (b"a: 'x\nb: 1\n", [(1, 4, "the quote that opens here is never closed")]),
    (b'"' * 262_143, [(1, 3, "does not fit the lines above")]),
    (b'a: "C:\\dir"', [(1, 8, "a backslash counts in double quotes")]),
    (b'a: "\\ud800"', [(1, 4, "half a character")]),
    (b'a: "\\U00110000"', [(1, 5, "names no character")]),
    (b'a: 1\nb: "xy\\U7fffffff"', [(2, 7, "names no character")]),
    (b"a: @x", [(1, 4, "cannot begin with this character")]),
    (b"a: `x", [(1, 4, "cannot begin with this character")]),
    (b"a: %x", [(1, 4, "cannot begin with this character")]),
    (b"a: *", [(1, 5, "cannot begin with *")]),
    (b"a: & x", [(1, 5, "cannot begin with &")]),
    (b"a: |x\n", [(1, 5, "after | or >")]),
    (b"a: >0\n b", [(1, 5, "after | or >")]),
    (b"a: |9\n x\n", [(2, 2, "does not fit the lines above")]),
    # depth and size
    (b"[" * 300, [(1, 33, "nested more than 32 deep")]),
    (b"[" * number(100_000, 262_144), [(1, 33, "nested more than 32 deep")]),
    (b"{a: " * 300, [(1, 129, "nested more than 32 deep")]),
    (b"- " * 100_000, [(1, 65, "nested more than 32 deep")]),
    (b"? " * 100_000, [(1, 65, "nested more than 32 deep")]),
    (b"- a\n" * number(25_000, 60_000), [(20_000, 3, "more than 20000 values")]),
    (b"[" + b"a," * number(45_000, 130_000), [(1, 40_000, "more than 20000 values")]),
    (b"a: " + b"x" * 262_144, [(1, 1, "larger than 256 KB")]),
    # bytes
    ("a: 1\n".encode("utf-16"), [(1, 1, "UTF-16")]),
    ("a: 1\n".encode("utf-16-be"), [(1, 1, "not a text file")]),
    ("a: 1\n".encode("utf-32"), [(1, 1, "UTF-16 or UTF-32")]),
    (b"a\x00: 1", [(1, 1, "not a text file")]),
    (b"a: 1\nb: \xff", [(2, 4, "not UTF-8")]),
    ("a: ½ \xb0".encode() + b"\xb0", [(1, 7, "not UTF-8")]),
    (b"a: \xed\xa0\x80", [(1, 4, "not UTF-8")]),
    (b"a: \x1b[31m\r\nb: \x07\n", [(1, 4, "U+001B"), (2, 4, "U+0007")]),
    (b"\x7f" * 200_000, [(1, 1, "U+007F"), (1, 2, "U+007F")]),
    ("a: x\x85".encode() + b"\nb: c: d", [(2, 5, "a colon is not possible here")]),
    (b"\r" * 100_000 + b"a: b: c", [(100_001, 5, "a colon is not possible here")]),
]


LARGE = b"".join(b"k%d: [1 mm, {a: b}]\n" % number for number in range(2_500))
"""As many values as a good file may hold: what a hostile one is compared with."""


def _cost(data: bytes) -> tuple[Document, float]:
    """A file as read, and the CPU seconds that it took."""
    start = time.process_time()
    document = read(data, "f.yaml")
    return document, time.process_time() - start


@cache
def _cost_of_a_large_file() -> float:
    document, seconds = _cost(LARGE)
    assert document.root is not None
    return seconds


def _read_soon(data: bytes) -> Document:
    document, cost = _cost(data)
    assert cost < 40 * _cost_of_a_large_file(), "a hostile file must not keep a commit waiting"
    return document


@pytest.mark.parametrize(("data", "expected"), HOSTILE, ids=range(len(HOSTILE)))
def test_hostile_file(data: bytes, expected: list[tuple[int, int, str]]) -> None:
    problems = _read_soon(data).problems
    assert len(problems) >= len(expected)
    for problem, (line, column, part) in zip(problems, expected, strict=False):
        assert (problem.place.file, problem.place.line, problem.place.column) == ("f.yaml", line, column)
        assert part in problem.message
        assert problem.message.isprintable()


def test_the_corpus_is_large() -> None:
    assert len({data for data, _ in HOSTILE}) >= 60


def test_no_more_than_a_hundred_problems_are_listed() -> None:
    assert len(read(b"a: 1\n" * 1000, "f.yaml").problems) == 100
    assert len(read(b"\x7f" * 1000, "f.yaml").problems) == 100


@pytest.mark.parametrize(
    ("data", "path"),
    [
        (b"valves:\n  - trials: [{mark: {from: 1, from: 2}}]", "valves[0].trials[0].mark.from"),
        (b"a:\n  b: .nan", "a.b"),
        (b"- [1, !!str 2]", "[0][1]"),
    ],
)
def test_a_problem_names_the_path(data: bytes, path: str) -> None:
    (problem,) = read(data, "f.yaml").problems
    assert problem.path == path


def test_the_root_is_kept_where_its_values_still_stand() -> None:
    assert read(b"a: 1\na: 2", "f.yaml").root is not None
    assert read(b"a: .nan", "f.yaml").root is not None
    for data in (b"a: &x 1\nb: *x", b"a: !!str 1", b"<<: {a: 1}", b"a: [1"):
        assert read(data, "f.yaml").root is None


@pytest.mark.parametrize(
    "data",
    [b"'" * 262_144, b"\n" * 262_143 + b"#", b"#" * 262_144, b"a: |\n" + b" x\n" * 80_000, b"a: " + b"b " * 130_000,
     b"a:\n" + b" b\n" * 80_000, b"-" * 262_144, b"a:" + b" " * 200_000 + b"b"],
)  # fmt: skip
def test_long_but_lawful_files_are_read_soon(data: bytes) -> None:
    assert _read_soon(data).problems == ()


@given(st.text(alphabet="ab1 \n\t:-?,[]{}#&*!|>'\"%@`\\<~.", max_size=40))
def test_any_text_ends_in_a_document(text: str) -> None:
    document = read(text.encode(), "f.yaml")
    assert all(problem.message.isprintable() for problem in document.problems)


@given(st.binary(max_size=30))
def test_any_bytes_end_in_a_document(data: bytes) -> None:
    assert read(data, "f.yaml").file == "f.yaml"
