"""Shared parts: a mapping that ``uses`` a part file takes its fields, and overrides them with its own."""

from __future__ import annotations

import os
from collections.abc import Container, Iterator
from functools import cached_property
from pathlib import Path

from buildcheck.core.files import real
from buildcheck.core.part_reference import USES, is_part_path
from buildcheck.core.problem import Place, Problem
from buildcheck.repo.file_tree import BUILD_FILE, FILES, Tree, root_of
from buildcheck.units.quantity import quoted
from buildcheck.yamlio.nodes import Document, Node, dotted

DEEPEST, MOST, MOST_VALUES = 4, 200, 20_000
"""A part may use parts so deep; one build may name so many, which may bring so many values."""

Keys = tuple[str | int, ...]


class Shelf:
    """The part files of a repository as one build sees them.

    Places in a part speak of it relative to the build folder, as links in its report do. ``used`` gathers the
    parts that were read, ``problems`` what is wrong with those that were named.
    """

    def __init__(self, folder: Path, tree: Tree, tracked: Container[Path] | None) -> None:
        self.used: dict[str, Path] = {}
        self.problems: list[Problem] = []
        self._folder = folder
        self._tree = tree
        self._tracked = tracked
        self._documents: dict[Path, Document] = {}
        self._count = 0
        self._values = 0

    @cached_property
    def _root(self) -> Path:
        """The repository's root, looked for only if a part is used."""
        return root_of(self._folder, self._tree)

    @property
    def written(self) -> dict[str, Node]:
        """The values of the parts that were read, by their paths from the build folder."""
        found = {seen: self._documents[path].root for seen, path in self.used.items()}
        return {seen: root for seen, root in found.items() if root is not None}

    def filled(self, node: Node, keys: Keys = (), chain: tuple[Path, ...] = ()) -> Node:
        """A node with every part that it uses filled in; where a part cannot be had, without it."""
        if not _uses_part(node):
            return node
        if isinstance(node.value, list):
            items = [self.filled(child, (*keys, index), chain) for index, child in enumerate(node.value)]
            return node._replace(value=items)
        entered = node._replace(
            value={key: self.filled(child, (*keys, key), chain) for key, child in node.entries.items()}
        )
        named = entered.get(USES)
        part = self._part(named, keys, chain) if named is not None and isinstance(named.value, str) else None
        return _over(part, entered) if part is not None else entered

    def _part(self, named: Node, keys: Keys, chain: tuple[Path, ...]) -> Node | None:
        path = self._root.resolve() / named.text
        try:
            wrong = self._refusal(named.text, path, chain)
        except OSError as error:
            wrong = f"{quoted(named.text)} cannot be read: {error.strerror}"
        if wrong:
            self.problems.append(Problem(named.place, dotted((*keys, USES)), wrong))
            return None
        self._count += 1
        document = self._read(path)
        if document.root is None:
            return None
        self._values += document.root.size
        return self.filled(document.root, keys, (*chain, path))

    def _refusal(self, text: str, path: Path, chain: tuple[Path, ...]) -> str:
        """What is wrong with the name of a part, empty where it may be read."""
        if not is_part_path(text):
            return f"found {quoted(text)}; write a path from the repository's root, such as parts/springs/s-120.yaml"
        if path in chain:
            return f"{text} uses itself"
        if len(chain) == DEEPEST or self._count == MOST:
            return f"parts use parts more than {DEEPEST} deep, or more than {MOST} times in a build"
        if self._values > MOST_VALUES:
            return f"parts bring more than {MOST_VALUES} values into this build"
        if not self._tree.exists(path):
            return f"the repository has no file {text} (its root has .git or buildcheck.yaml)"
        if path.stem in FILES and self._tree.exists(path.parent / BUILD_FILE):
            return f"{text} is a build's own file: put what is shared into a file elsewhere, such as parts/{path.name}"
        if not real(path).is_relative_to(self._root.resolve()):
            return f"{text} is a link to outside the repository"
        if self._tracked is not None and not all(each in self._tracked for each in self._way_to(path)):
            return f"{text} exists but is not in the commit: git add it"
        return ""

    def _way_to(self, path: Path) -> Iterator[Path]:
        """Where a part lies, and the links in its name, which git needs to track too."""
        yield (there := real(path))
        if there != path:
            yield from (real(each.parent) / each.name for each in (path, *path.parents) if each.is_symlink())

    def _read(self, path: Path) -> Document:
        if path not in self._documents:
            seen = Path(os.path.relpath(path, self._folder.resolve())).as_posix()
            document = self._tree.read(path, seen)
            self._documents[path] = document
            self.problems += document.problems or self._unfit(document)
            self.used[seen] = path
        return self._documents[path]

    def _unfit(self, document: Document) -> list[Problem]:
        if document.root is not None and isinstance(document.root.value, dict):
            return []
        return [Problem(Place(document.file), "", "is not a part: write its fields as in the build file that uses it")]


def may_use_part(document: Document) -> bool:
    """Whether a file has the word that names a part, or an escape, which can spell any word."""
    return USES in document.text or "\\" in document.text


def _uses_part(node: Node) -> bool:
    """Whether a node or anything below it names a part."""
    return USES in node.entries or any(_uses_part(child) for child in node.children if child.children)


def _over(part: Node, entered: Node) -> Node:
    """A mapping over a part's: mappings in both meet field by field, of anything else the build's own counts."""
    fields = dict(part.entries)
    for key, child in entered.entries.items():
        below = fields.get(key)
        both = below is not None and isinstance(below.value, dict) and isinstance(child.value, dict)
        fields[key] = _over(below, child) if below is not None and both else child
    return entered._replace(value=fields, key_positions={**part.key_positions, **entered.key_positions})
