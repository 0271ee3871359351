"""The starter folder: written whole or not at all, valid as it stands, valid with every field filled in."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from shlex import split
from typing import Any

import pytest

from buildcheck.cli.main import main
from buildcheck.cli.scaffold import OverwriteError, start_build
from buildcheck.core.problem import Problem
from buildcheck.repo.file_tree import FILES
from buildcheck.schema.fields import load_schema
from buildcheck.schema.validation import validate
from buildcheck.yamlio.documents import Document, plain, read, read_file

# '#' right before a field, or before two blanks and more of its indentation; '# ' alone explains
_NOT_YET_KNOWN = re.compile(r"^( *)#(?=[a-z-]|  +[a-z_-]+:|  +- )", re.MULTILINE)


@pytest.fixture
def fresh(tmp_path: Path) -> Path:
    start_build(tmp_path / "engine")
    return tmp_path / "engine"


def _problems(document: Document) -> list[Problem]:
    name = document.file.removesuffix(".yaml")
    schema = validate(name, document.root, document.file) if document.root else []
    return [*document.problems, *schema]


def _names(schema: Any) -> Iterator[str]:
    if isinstance(schema, dict):
        yield from schema.get("properties", {})
        for child in schema.values():
            yield from _names(child)


def test_a_fresh_folder_reads_without_a_problem(fresh: Path) -> None:
    documents = [read_file(fresh / f"{name}.yaml", f"{name}.yaml") for name in FILES]
    assert [problem for document in documents for problem in _problems(document)] == []


def test_a_fresh_folder_is_at_planning_so_that_nothing_blocks_yet(fresh: Path) -> None:
    root = read_file(fresh / "build.yaml", "build.yaml").root
    assert root is not None
    assert plain(root) == {"name": "My engine", "stage": "planning"}


def test_start_shows_what_it_wrote(tmp_path: Path) -> None:
    written = start_build(tmp_path / "a" / "engine")
    found = [path for path in (tmp_path / "a").rglob("*") if path.is_file()]
    assert sorted(written) == sorted(found)
    assert {path.stem for path in written if path.suffix == ".yaml"} == set(FILES)
    assert len(written) == 2 * len(FILES)


@pytest.mark.parametrize("name", FILES)
def test_the_first_line_names_the_schema_beside_it(fresh: Path, name: str) -> None:
    first, _, rest = (fresh / f"{name}.yaml").read_text(encoding="utf-8").partition("\n")
    relative = first.removeprefix("# yaml-language-server: $schema=")
    assert (fresh / relative).resolve() == (fresh / ".schemas" / f"{name}.schema.json").resolve()
    assert (fresh / relative).is_file()
    assert rest


@pytest.mark.parametrize("name", FILES)
def test_with_every_field_filled_in_the_file_is_valid(fresh: Path, name: str) -> None:
    text = (fresh / f"{name}.yaml").read_text(encoding="utf-8")
    filled = _NOT_YET_KNOWN.sub(r"\1", text).replace("valves: []", "valves:")
    assert filled.count("#") < text.count("#")
    document = read(filled.encode(), f"{name}.yaml")
    assert document.root is not None
    assert _problems(document) == []


@pytest.mark.parametrize("name", FILES)
def test_every_field_is_shown(fresh: Path, name: str) -> None:
    text = (fresh / f"{name}.yaml").read_text(encoding="utf-8")
    shown_elsewhere = {"note", "part"}  # build.yaml explains them for all files
    missing = {key for key in _names(load_schema(name)) if not re.search(rf"\b{key}\b", text)}
    assert missing <= shown_elsewhere, f"show each field in buildcheck/cli/starter/{name}.yaml"


def test_numbers_to_replace_are_marked(fresh: Path) -> None:
    lines = [line for path in fresh.glob("*.yaml") for line in path.read_text(encoding="utf-8").splitlines()]
    physical = [line for line in lines if re.match(r" *[a-z][^#]*\d (in|deg|cc|lbf)\b", line)]
    assert len(physical) >= 8
    assert [line for line in physical if "# replace" not in line] == []


def test_nothing_is_written_over(fresh: Path) -> None:
    (fresh / "cam.yaml").write_text("mine\n", encoding="utf-8")
    (fresh / "heads.yaml").unlink()
    with pytest.raises(OverwriteError, match=r"as_built\.yaml, block\.yaml.*cam\.yaml.*nothing was written"):
        start_build(fresh)
    assert (fresh / "cam.yaml").read_text(encoding="utf-8") == "mine\n"
    assert not (fresh / "heads.yaml").exists()


def test_an_existing_folder_is_filled_beside_what_it_holds(tmp_path: Path) -> None:
    (tmp_path / "photo.jpg").write_bytes(b"x")
    start_build(tmp_path)
    assert (tmp_path / "photo.jpg").read_bytes() == b"x"
    assert {path.stem for path in tmp_path.glob("*.yaml")} == set(FILES)
    assert not list(tmp_path.glob(".start-*"))


def test_a_dangling_link_is_in_the_way_too(tmp_path: Path) -> None:
    (tmp_path / "rockers.yaml").symlink_to(tmp_path / "nowhere")
    with pytest.raises(OverwriteError, match=r": rockers\.yaml; nothing was written"):
        start_build(tmp_path)
    assert [path.name for path in tmp_path.iterdir()] == ["rockers.yaml"]


@pytest.mark.parametrize("name", ["engine", "engine/.schemas"])
def test_a_file_in_place_of_a_folder_is_refused(tmp_path: Path, name: str) -> None:
    (tmp_path / name).parent.mkdir(exist_ok=True)
    (tmp_path / name).write_text("", encoding="utf-8")
    with pytest.raises(OverwriteError, match="nothing was written"):
        start_build(tmp_path / "engine")
    assert list(tmp_path.rglob("*.yaml")) == []


@pytest.mark.parametrize("words", [["start", ""], ["start", "--repository", ""]])
def test_a_folder_without_a_name_is_none(
    words: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    assert main(words) == 2
    assert capsys.readouterr().err == "buildcheck: enter a folder; '.' is the current one\n"
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("name", ["teal", "my engine", "it's", "$HOME", "a;b", "-x"])
def test_the_call_reported_at_the_end_may_be_pasted(
    name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    assert main(["start", "--", name]) == 0
    result = capsys.readouterr().err.strip().partition("run: buildcheck ")[2]
    assert main(split(result)) == 0
    assert f"{name}/build.yaml:1:1: note: Ready to measure" in capsys.readouterr().out
