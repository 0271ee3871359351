"""Reads a build folder: every known file into nodes with places, held against its schema."""

from __future__ import annotations

import re
from collections.abc import Container, Mapping
from functools import cached_property
from itertools import chain
from pathlib import Path

from buildcheck.build.acceptance_record import RECORD, AcceptanceRecord, read_record
from buildcheck.build.parts import Shelf, may_use_part
from buildcheck.core.problem import Place, Problem
from buildcheck.record import Record
from buildcheck.repo.file_tree import DISK, FILES, Tree
from buildcheck.repo.misnamed_files import misnamed_files
from buildcheck.schema.validation import validate
from buildcheck.yamlio.documents import Node

_INCH = re.compile(r'\d\s*(?:in\b|"|thou\b)')
STAGES = ("planning", "measuring", "ordering", "assembled", "closed")


class Build(Record):
    """One build folder as read: ``shown`` is its path for people, ``roots`` the files that are there.

    ``parts`` are the shared parts that they use, by their paths from the build folder; ``silent`` the files that are
    there and hold comments alone. ``written`` holds the values of its own files and of its parts before the parts are
    filled in, ``accepted`` that it was accepted, if it was.
    """

    __slots__ = ("__dict__",)

    folder: Path
    display_path: str
    roots: Mapping[str, Node]
    problems: tuple[Problem, ...]
    parts: Mapping[str, Path] = {}
    comment_only: frozenset[str] = frozenset()
    written: Mapping[str, Node] = {}
    accepted: AcceptanceRecord | None = None

    @property
    def name(self) -> str:
        """The build's name, or its folder's if the file gives none."""
        return self._text("name") or self.display_path

    @property
    def stage(self) -> str:
        """The stage written in build.yaml; planning if it gives none."""
        stage = self._text("stage")
        return stage if stage in STAGES else "planning"

    @cached_property
    def nodes(self) -> Mapping[str, list[Node]]:
        """All nodes of each file, in its order."""
        return {name: root.walk() for name, root in self.roots.items()}

    @cached_property
    def unit_system(self) -> str:
        """``inch`` or ``metric``: ``units`` of build.yaml, else counted over all values; inch if neither prevails."""
        root = self.roots.get("build")
        if root is not None and (chosen := root.word("units")) in ("inch", "metric"):
            return chosen
        inch = metric = 0
        for node in chain.from_iterable(self.nodes.values()):
            value = node.value
            if isinstance(value, str) and value[:1].isdigit():
                inch += bool(_INCH.search(value))
                metric += "mm" in value
        return "metric" if metric > inch else "inch"

    def _text(self, key: str) -> str:
        root = self.roots.get("build")
        node = root.get(key) if root is not None else None
        return node.value if node is not None and isinstance(node.value, str) else ""


def read_build(folder: Path, display_path: str, tracked: Container[Path] | None = None, tree: Tree = DISK) -> Build:
    """Read all files of a build folder. With ``tracked``, a file that git does not track is a problem."""
    shelf = Shelf(folder, tree, tracked)
    roots: dict[str, Node] = {}
    comment_only: list[str] = []
    written: dict[str, Node] = {}
    accepted = None
    names = tree.names(folder)
    problems = list(misnamed_files(names, (*FILES, RECORD)))
    for name in (*FILES, RECORD):
        if f"{name}.yaml" not in names:
            continue
        path = folder / f"{name}.yaml"
        if tracked is not None and folder.resolve() / path.name not in tracked:
            problems.append(Problem(Place(path.name), "", "is not in the commit: git add it, or delete it"))
            continue
        document = tree.read(path, path.name)
        if name == RECORD:
            accepted = read_record(document.root)
            continue
        problems += document.problems
        if name == "build" and document.root is None and not document.problems:
            problems.append(Problem(Place(path.name), "", "is empty: a build needs at least a name and a stage"))
        if document.root is None:
            comment_only.append(name)
        else:
            written[path.name] = document.root
            missed = len(shelf.problems)
            roots[name] = shelf.filled(document.root) if may_use_part(document) else document.root
            if len(shelf.problems) == missed:  # what a part would bring is not missing while it cannot be had
                problems += validate(name, roots[name], path.name)
    problems = sorted({*problems, *shelf.problems})
    return Build(
        folder,
        display_path,
        roots,
        tuple(problems),
        shelf.used,
        frozenset(comment_only),
        {**written, **shelf.written},
        accepted,
    )
