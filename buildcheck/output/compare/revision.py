"""One side of a comparison: the builds of a commit or of the working tree, and which of them are the same build."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path

from buildcheck.app.build_check import Checked, check_build
from buildcheck.app.run import Frame, frame_for
from buildcheck.build.build_folder import Build, read_build
from buildcheck.core.problem import Place, Problem
from buildcheck.output.compare.changed_inputs import written
from buildcheck.repo.discovery import Folder, builds_among, folders_under, headless
from buildcheck.repo.file_tree import BUILD_FILE, Tree
from buildcheck.yamlio.documents import Node

_UNFIT = Problem(Place(BUILD_FILE), "", "is not judged while the team's rules or settings have errors")

_ALIKE = 0.5
"""A folder that vanished and one that came are one build where this share of their values agrees."""


@dataclass(frozen=True)
class Side:
    """A state of the repository: its rules and limits, and its builds, which are read when they are asked for."""

    label: str
    frame: Frame
    _read: dict[str, Build] = field(default_factory=dict, init=False, compare=False)

    @cached_property
    def builds(self) -> dict[str, Path]:
        """Every build's folder, by its path from the repository's root."""
        return builds_among(self._folders, self.frame.repository)

    @cached_property
    def headless(self) -> tuple[Problem, ...]:
        """Folders that lost their build.yaml."""
        return tuple(headless(self._folders))

    @cached_property
    def _folders(self) -> list[Folder]:
        """All from the root, where this state has it."""
        root, tree = self.frame.repository.root, self.frame.repository.tree
        return list(folders_under([root], root, tree)) if tree.exists(root) else []

    def fetch(self, builds: Iterable[str]) -> None:
        """Get the files of builds that are about to be read."""
        self.frame.repository.tree.fetch([self.builds[build] for build in builds])

    def build(self, name: str) -> Build:
        """A build of this state as read."""
        if name not in self._read:
            self._read[name] = read_build(self.builds[name], name, tree=self.frame.repository.tree)
        return self._read[name]

    def judged(self, name: str) -> Checked:
        """A build of this state checked."""
        return self.judging(self.build(name))

    def judging(self, build: Build) -> Checked:
        """Any build under this state's rules; none is judged while those, or the team's settings, have errors."""
        if self.frame.problems:
            build = replace(build, problems=tuple(sorted([*build.problems, _UNFIT])))
        return check_build(build, self.frame.rules, self.frame.team)


def side(label: str, start: Path, tree: Tree) -> Side:
    """The state of the repository around a folder."""
    return Side(label, frame_for(start, tree))


def pairs(before: Side, after: Side, wanted: Sequence[str]) -> Iterator[tuple[str, str]]:
    """Folders of one build on both sides, renamed ones found by what they hold; empty where a side has none.

    ``wanted`` are folders to keep to; all when empty.
    """
    gone = [folder for folder in before.builds if folder not in after.builds]
    new = [folder for folder in after.builds if folder not in before.builds]
    renamed = dict(_renamed(before, after, gone, new))
    found = [(folder, folder) for folder in after.builds if folder in before.builds]
    found += [(renamed.get(folder, ""), folder) for folder in new]
    found += [(folder, "") for folder in gone if folder not in renamed.values()]
    for pair in sorted(found, key=lambda pair: pair[1] or pair[0]):
        if not wanted or any(_under(folder, top) for folder in pair if folder for top in wanted):
            yield pair


def _under(folder: str, top: str) -> bool:
    return top == "." or folder == top or folder.startswith(f"{top}/")


def _renamed(before: Side, after: Side, gone: list[str], new: list[str]) -> Iterator[tuple[str, str]]:
    before.fetch(gone)
    after.fetch(new)
    had = {folder: set(_values(before.build(folder))) for folder in gone}
    has = {folder: set(_values(after.build(folder))) for folder in new}
    shares = [(_share(had[old], has[now]), now, old) for old in gone for now in new]
    taken: set[str] = set()
    for share, now, old in sorted(shares, key=lambda found: (-found[0], found[1:])):
        if share >= _ALIKE and not taken & {f"new {now}", f"old {old}"}:
            taken |= {f"new {now}", f"old {old}"}
            yield now, old


def _share(old: set[tuple[str, str]], new: set[tuple[str, str]]) -> float:
    """Values that both builds have at the same place, as a share of all that either has."""
    shared = len(old & new)
    return shared / max(len(old) + len(new) - shared, 1)


def _values(build: Build) -> Iterator[tuple[str, str]]:
    for name, root in build.roots.items():
        yield from _leaves(root, name)


def _leaves(node: Node, path: str) -> Iterator[tuple[str, str]]:
    for key, child in [*node.entries.items(), *((str(i), item) for i, item in enumerate(node.items))]:
        yield from _leaves(child, f"{path}.{key}")
    if not node.entries and not node.items:
        yield path, written(node)
