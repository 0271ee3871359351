"""Entries laid out in marks.yaml: nothing that stood there moves, and what is filled in is valid."""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from buildcheck.cli.main import main
from buildcheck.cli.scaffold import start_build
from buildcheck.yamlio.documents import plain, read_file

ROOT = Path(__file__).parent.parent
FILLED = [("length: ", "length: 9.425 in"), ("from: ", "from: 0.140 in"), ("to: ", "to: 0.170 in")]
FILLED += [("shut_at: ", "shut_at: 0.150 in"), ("open_at: ", "open_at: 0.152 in")]


def copied(to: Path, build: str = "example_build") -> Path:
    shutil.copytree(ROOT / build, to / "build")
    return to / "build"


def into(build: Path, file: str = "marks.yaml") -> int:
    return main(["plan", str(build), "--into", file])


def inserted(old: bytes, new: bytes) -> bytes:
    """The one piece that was put in; all else stands as it stood."""
    start_build = next(n for n in range(len(old) + 1) if old[: n + 1] != new[: n + 1] or n == len(old))
    start_build = old.rfind(b"\n", 0, start_build) + 1 if start_build < len(old) else start_build
    rest = len(old) - start_build
    assert new[:start_build] + new[len(new) - rest :] == old
    return new[start_build : len(new) - rest]


@pytest.mark.parametrize("build", ["example_build", "tests/builds/vee_eight_mm", "tests/builds/inline_four_pad"])
def test_only_valves_without_an_entry_are_laid_out_and_only_by_inserting(tmp_path: Path, build: str) -> None:
    marks = copied(tmp_path, build) / "marks.yaml"
    before, expected = marks.read_bytes(), plain(read_file(marks, "marks.yaml").root)
    assert into(tmp_path / "build") == 0
    piece = inserted(before, marks.read_bytes()).decode()
    assert all(line.lstrip().startswith("#") for line in piece.splitlines())
    document = read_file(marks, "marks.yaml")
    assert (document.problems, plain(document.root)) == ((), expected)
    measured = {(entry["cylinder"], entry["valve"]) for entry in expected["valves"]}
    laid = {(int(c), v) for c, v in re.findall(r"#- cylinder: (\d+)\n *#  valve: (\w+)", piece)}
    assert not laid & measured
    assert len(laid | measured) == 2 * plain(read_file(tmp_path / "build/block.yaml", "block.yaml").root)["cylinders"]


def test_laying_out_twice_adds_nothing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    marks = copied(tmp_path) / "marks.yaml"
    assert into(tmp_path / "build") == 0
    once = marks.read_bytes()
    assert into(tmp_path / "build") == 0
    assert marks.read_bytes() == once
    assert "0 valves laid out, 12 already there" in capsys.readouterr().err


def fill_in(text: str) -> str:
    """What a builder does with a valve's lines: the # off, and a value behind every key."""
    lines = [re.sub(r"^( *)#(?=[ -] *[a-z{-])", r"\1", line) if _ours(line) else line for line in text.split("\n")]
    made = "\n".join(lines)
    for blank, value in FILLED:
        made = re.sub(rf"{blank}(?=[,}}])", value, made)
    return made


def _ours(line: str) -> bool:
    return re.match(r" *#(- cylinder: \d+$|  valve:|  crank:|  trials:$|    - \{length: ,)", line) is not None


@pytest.mark.parametrize("dash", ["  - ", "- "])
def test_entries_filled_in_are_readings_on_their_base_circles(tmp_path: Path, dash: str) -> None:
    marks = copied(tmp_path) / "marks.yaml"
    head, entries = marks.read_text().split("valves:\n")
    entries = entries if dash == "  - " else re.sub(r"^  ", "", entries, flags=re.MULTILINE)
    marks.write_text(f"{head}valves:\n{entries}")
    assert into(tmp_path / "build") == 0
    marks.write_text(fill_in(marks.read_text()))
    assert main(["check", str(tmp_path / "build")]) == 0
    assert len(plain(read_file(marks, "marks.yaml").root)["valves"]) == 12


def test_a_started_build_is_laid_out_and_stays_valid(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    start_build(tmp_path / "new")
    assert into(tmp_path / "new") == 0
    text = (tmp_path / "new" / "marks.yaml").read_text()
    assert text.index("#- cylinder: 1\n") > text.index("valves: []")
    assert main(["check", str(tmp_path / "new")]) == 0
    (tmp_path / "new" / "marks.yaml").write_text(fill_in(text).replace("valves: []", "valves:"))
    assert main(["check", str(tmp_path / "new")]) == 0
    assert "marks.yaml: 12 valves laid out, 0 already there" in capsys.readouterr().err


def test_where_there_is_no_marks_file_one_is_made(tmp_path: Path) -> None:
    (copied(tmp_path) / "marks.yaml").unlink()
    assert into(tmp_path / "build", str(tmp_path / "build" / "marks.yaml")) == 0
    document = read_file(tmp_path / "build" / "marks.yaml", "marks.yaml")
    assert document.root is not None
    assert plain(document.root) == {"valves": []}


@pytest.mark.parametrize(("build", "empty"), [("example_build", False), ("", True)])
def test_only_an_empty_list_has_brackets_to_take_off(tmp_path: Path, build: str, empty: bool) -> None:
    folder = copied(tmp_path, build) if build else tmp_path / "new"
    if empty:
        start_build(folder)
    assert into(folder) == 0
    result = next(
        line for line in (folder / "marks.yaml").read_text().splitlines() if "From the measuring plan" in line
    )
    assert result.endswith("as you fill them in, and the [] after valves." if empty else "as you fill them in.")


@pytest.mark.parametrize("dash", ["  - ", "- "])
def test_entries_stand_behind_a_last_one_that_is_a_single_line(tmp_path: Path, dash: str) -> None:
    marks = copied(tmp_path) / "marks.yaml"
    last = f"{dash}{{cylinder: 1, valve: intake, trials: [{{length: 9.425 in}}]}}\n"
    marks.write_text(f"valves:\n{last}")
    assert into(tmp_path / "build") == 0
    assert marks.read_text().startswith(f"valves:\n{last}{dash.removesuffix('- ')}# From the measuring plan")


TAIL = "\n# what follows\nnote: kept\n"


@pytest.mark.parametrize(
    "change",
    [
        lambda text: text.replace("\n", "\r\n"),
        lambda text: "\ufeff" + text,
        lambda text: text.rstrip("\n"),
        lambda text: text.rstrip("\n").replace("\n", "\r\n"),
        lambda text: text.replace("note: Edges are", "part: Edges are") + TAIL,
        lambda text: text + "      # a remark on the last valve\n\n\n# a remark on the file\n",
        lambda text: text + "...\n",
        lambda text: "---\n" + text,
        lambda text: text + "    note: |\n      two\n\n      #- cylinder: 9\n",
    ],
    ids=["crlf", "bom", "no end of line", "crlf, no end", "keys after", "comments after", "end", "start", "block text"],
)
def test_however_the_file_is_written_nothing_else_changes(tmp_path: Path, change: Callable[[str], str]) -> None:
    marks = copied(tmp_path) / "marks.yaml"
    text = change(marks.read_text())
    marks.write_bytes(text.encode())
    before = read_file(marks, "marks.yaml")
    assert before.problems == ()
    assert into(tmp_path / "build") == 0
    piece = inserted(text.encode(), marks.read_bytes())
    after = read_file(marks, "marks.yaml")
    assert before.root is not None
    assert after.root is not None
    assert (after.problems, plain(after.root)) == ((), plain(before.root))
    assert piece.count(b"#- cylinder") == 4
    assert (b"\r\n" in piece) == (b"\r\n" in text.encode())


@pytest.mark.parametrize(
    "text", ["{valves: []}\n", "valves: [{cylinder: 1, valve: intake, trials: [{length: 9.4 in}]}]\n"]
)
def test_a_file_without_a_line_to_insert_at_is_refused_and_left_alone(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], text: str
) -> None:
    marks = copied(tmp_path) / "marks.yaml"
    marks.write_text(text)
    assert into(tmp_path / "build") == 2
    assert "write one entry a line" in capsys.readouterr().err
    assert marks.read_text() == text


def test_entries_go_nowhere_but_into_the_builds_own_marks(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    copied(tmp_path)
    assert into(tmp_path / "build", str(tmp_path / "other.yaml")) == 2
    assert "entries are laid out in" in capsys.readouterr().err
    assert not (tmp_path / "other.yaml").exists()
