"""Every physical value written in a build, and the build with one of them written differently, all in memory."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import NamedTuple

from buildcheck.app.build_check import CheckedBuild, check_build
from buildcheck.app.rule_context import RuleContext, rule_context_for
from buildcheck.build.build_folder import read_build
from buildcheck.core.problem import Place
from buildcheck.repo.file_tree import FILES, Disk
from buildcheck.schema.fields import field_kinds
from buildcheck.yamlio.documents import Document, Node, read

ROOT = Path(__file__).parents[2]
BUILDS = (
    "example_build",
    *sorted(path.parent.relative_to(ROOT).as_posix() for path in ROOT.glob("tests/builds/*/build.yaml")),
)
"""Every build that the project ships."""
_NOT_PHYSICAL = ("count", "text", "thread")


class WrittenValue(NamedTuple):
    """A physical value as it is written: ``path`` has list positions, ``field`` none; ``kind`` is its dimension."""

    folder: str
    path: str
    field: str
    kind: str
    place: Place
    text: str


class _Edited(Disk):
    """The files of one build, some of them with another text; each unchanged file is read once."""

    def __init__(self, texts: Mapping[str, str]) -> None:
        self.texts = texts

    def read(self, path: Path, file: str) -> Document:
        """The document at a path."""
        text = self.texts.get(path.name)
        return read(text.encode(), file) if text is not None else _document(path, file)


@cache
def _document(path: Path, file: str) -> Document:
    return Disk().read(path, file)


@cache
def shipped() -> RuleContext:
    """The rules as shipped, without a team's."""
    return rule_context_for(ROOT / BUILDS[0])


@cache
def unchanged(folder: str) -> CheckedBuild:
    """A build as it is in the repository, judged."""
    return check_build(read_build(ROOT / folder, folder), shipped().rules, {})


def checked_with(value: WrittenValue, text: str) -> CheckedBuild:
    """The build judged with one value replaced by another text."""
    return checked_with_all(value.folder, {value: text})


def checked_with_all(folder: str, texts: Mapping[WrittenValue, str]) -> CheckedBuild:
    """The build judged with several values replaced."""
    files: dict[str, list[str]] = {}
    for value in sorted(texts, key=lambda one: one.place, reverse=True):
        name = value.place.file
        lines = files.setdefault(name, _text(ROOT / folder / name).splitlines(keepends=True))
        row, column = value.place.line - 1, value.place.column - 1
        lines[row] = f"{lines[row][:column]}{texts[value]}{lines[row][column + len(value.text) :]}"
    tree = _Edited({name: "".join(lines) for name, lines in files.items()})
    return check_build(read_build(ROOT / folder, folder, tree=tree), shipped().rules, {})


@cache
def _text(path: Path) -> str:
    return path.read_text(encoding="utf-8")


@cache
def written_values(folder: str) -> tuple[WrittenValue, ...]:
    """All physical values of a build in the order of its files, as they are written there."""
    return tuple(value for name in FILES for value in _values_of_file(folder, name))


def _values_of_file(folder: str, name: str) -> Iterator[WrittenValue]:
    path = ROOT / folder / f"{name}.yaml"
    root = _document(path, path.name).root if path.exists() else None
    for keys, node in _scalars(root) if root is not None else ():
        field = ".".join([name, *(key for key in keys if isinstance(key, str))])
        kind = field_kinds().get(field, "text")
        if kind not in _NOT_PHYSICAL and _is_plain(path, node):
            dotted = "".join(f"[{key}]" if isinstance(key, int) else f".{key}" for key in (name, *keys))[1:]
            yield WrittenValue(folder, dotted, field, kind, node.place, node.text)


def _scalars(node: Node, keys: tuple[str | int, ...] = ()) -> Iterator[tuple[tuple[str | int, ...], Node]]:
    if node.entries or node.items:
        for key, child in [*node.entries.items(), *enumerate(node.items)]:
            yield from _scalars(child, (*keys, key))
    else:
        yield keys, node


def _is_plain(path: Path, node: Node) -> bool:
    """Whether the value is written without quotes on one line, so that its text can be replaced at its place."""
    line = _text(path).splitlines()[node.place.line - 1]
    return bool(node.text) and line[node.place.column - 1 :].startswith(node.text)
