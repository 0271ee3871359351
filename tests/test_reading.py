"""What a YAML file comes to: values, their places, the text as written."""

from __future__ import annotations

import os
from decimal import Decimal
from pathlib import Path

import pytest

from buildcheck.core.problem import Place
from buildcheck.yamlio.documents import find, plain, read, read_file
from buildcheck.yamlio.nodes import Node

MARKS = b"""\
# marks
springs: checking
valves:
  - cylinder: 1
    trials:
      - {length: 9.350 in, mark: {from: 0.118 in}}
"""


def _root(text: str) -> Node:
    document = read(text.encode(), "f.yaml")
    assert document.problems == ()
    assert document.root is not None
    return document.root


def test_every_value_and_key_knows_its_place() -> None:
    root = read(MARKS, "marks.yaml").root
    assert root is not None
    start = find(root, ["valves", 0, "trials", 0, "mark", "from"])
    mark = find(root, ["valves", 0, "trials", 0, "mark"])
    assert start is not None
    assert mark is not None
    assert (start.place, start.value, start.text) == (Place("marks.yaml", 6, 41), "0.118 in", "0.118 in")
    assert (mark.place, mark.key_places["from"]) == (Place("marks.yaml", 6, 34), Place("marks.yaml", 6, 35))


@pytest.mark.parametrize("path", [["no"], ["valves", 1], ["valves", -1], ["valves", "0"], [0], ["springs", "x"]])
def test_nothing_is_found_where_nothing_is_written(path: list[str | int]) -> None:
    root = read(MARKS, "marks.yaml").root
    assert root is not None
    assert find(root, path) is None


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("yes", "yes"),
        ("off", "off"),
        ("2024-05-01", "2024-05-01"),
        ("190:20:30", "190:20:30"),
        ("1_000", "1_000"),
        ("'7'", "7"),
        ('"7"', "7"),
        ("5/16 in", "5/16 in"),
        ("3/8-24", "3/8-24"),
        ("1e3 in", "1e3 in"),
        ("+.5.5", "+.5.5"),
        ("0b1", "0b1"),
        ("true", True),
        ("FALSE", False),
        ("~", None),
        ("null", None),
        ("", None),
        ("6", 6),
        ("-6", -6),
        ("010", 10),
        ("1.60", Decimal("1.60")),
        (".5", Decimal("0.5")),
        ("1e3", Decimal("1e3")),
        ("-0.0", Decimal(0)),
    ],
)
def test_scalars_of_the_core_schema(text: str, value: object) -> None:
    node = find(_root(f"k: {text}\n"), ["k"])
    assert node is not None
    assert (node.value, type(node.value), node.text) == (value, type(value), text.strip("'\""))


def test_plain_data_holds_floats_and_no_places() -> None:
    assert plain(_root("a: [1, 1.5, x, true, null, {b: 2}]")) == {"a": [1, 1.5, "x", True, None, {"b": 2}]}
    assert type(plain(_root("1.5"))) is float


@pytest.mark.parametrize("data", [b"# only a comment\n", b"---\n"])
def test_a_file_of_comments_says_nothing_and_is_no_problem(data: bytes) -> None:
    document = read(data, "f.yaml")
    assert (document.root, document.problems) == (None, ())


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("valves: []\n  - cylinder: 1\n", "2:3 entries follow the [] in line 1: remove the []"),
        (
            "a: 1\nvalves:  []   # none yet\n\n# more\n- cylinder: 1\n",
            "5:1 entries follow the [] in line 2: remove the []",
        ),
        ("valves: [1]\n  - cylinder: 1\n", "2:3 this does not fit the lines above: check the indentation"),
        ("a: []\nb: [1]\n  - 1\n", "3:3 this does not fit the lines above: check the indentation"),
    ],
)
def test_brackets_left_above_their_entries_are_named(text: str, expected: str) -> None:
    [problem] = read(text.encode(), "marks.yaml").problems
    assert f"{problem.place.line}:{problem.place.column} {problem.message}" == expected


def test_a_ratio_with_a_decimal_comma_is_reported_of_the_point() -> None:
    [problem] = read(b"ratio: {intake: 1,6}\n", "rockers.yaml").problems
    assert (
        problem.message
        == "a key must be a name, found '6': put it in quotes if it is one; write a decimal point, not a comma"
    )


@pytest.mark.parametrize("data", [b"", b"\xef\xbb\xbf", b"\n\n"])
def test_an_empty_file_is_what_a_full_disk_leaves(data: bytes) -> None:
    document = read(data, "f.yaml")
    assert document.root is None
    assert [problem.message for problem in document.problems] == ["is empty: fill it in, or delete it"]


@pytest.mark.parametrize("data", [b"\xef\xbb\xbfa: 1\n", b"a: 1\r\n", b"a: 1", b"---\na: 1\n...\n", b"{a: 1}\r"])
def test_byte_order_mark_and_line_ends_do_not_matter(data: bytes) -> None:
    root = read(data, "f.yaml").root
    assert root is not None
    assert plain(root) == {"a": 1}


def test_hidden_characters_in_values_are_kept_as_they_are() -> None:
    assert plain(_root('a: "\\e[31m\\u202e"\nb: x\u202ey\n')) == {"a": "\x1b[31m\u202e", "b": "x\u202ey"}


def test_a_regular_file_is_read_and_so_is_a_link_inside_the_folder(tmp_path: Path) -> None:
    (tmp_path / "engine").mkdir()
    (tmp_path / "cam.yaml").write_text("a: 1\n")
    (tmp_path / "engine/cam.yaml").symlink_to("../cam.yaml")
    for file in ("cam.yaml", "engine/cam.yaml"):
        document = read_file(tmp_path / file, file)
        assert document.root is not None
        assert (document.file, document.root.place) == (file, Place(file, 1, 1))


def test_what_is_no_file_of_the_folder_is_never_read(tmp_path: Path) -> None:
    folder = tmp_path / "engine"
    folder.mkdir()
    (tmp_path / "secret.yaml").write_text("a: 1\n")
    (folder / "out.yaml").symlink_to("../secret.yaml")
    (folder / "loop.yaml").symlink_to("loop.yaml")
    (folder / "null.yaml").symlink_to("/dev/null")
    (folder / "dir.yaml").mkdir()
    os.mkfifo(folder / "pipe.yaml")
    for name, reason in (
        ("out.yaml", "a link to outside its folder"),
        ("loop.yaml", "cannot be read"),
        ("null.yaml", "a link to outside its folder"),
        ("dir.yaml", "not a regular file"),
        ("pipe.yaml", "not a regular file"),
        ("none.yaml", "cannot be read: No such file"),
    ):
        (problem,) = read_file(folder / name, name).problems
        assert problem.place == Place(name)
        assert reason in problem.message
        assert str(tmp_path) not in problem.message


def test_a_huge_file_is_read_no_further_than_the_limit(tmp_path: Path) -> None:
    with (tmp_path / "big.yaml").open("wb") as big:
        big.truncate(1 << 40)
    (problem,) = read_file(tmp_path / "big.yaml", "big.yaml").problems
    assert problem.message == "larger than 256 KB: split it or cut it down"
