"""One side of a comparison: the builds of a commit or of the working tree, and which of them are the same build."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from functools import cached_property
from pathlib import Path

from buildcheck.app.build_check import CheckedBuild
from buildcheck.app.rule_context import RuleContext, rule_context_for
from buildcheck.build.build_folder import Build, read_build
from buildcheck.core.problem import Place, Problem
from buildcheck.output.compare.changed_inputs import flattened
from buildcheck.record import Record, replace
from buildcheck.repo.discovery import Folder, missing_manifest
from buildcheck.repo.file_tree import BUILD_FILE, Tree
from buildcheck.repo.working_tree import WorkingTree
from buildcheck.yamlio.documents import Node

_NOT_JUDGED = Problem(Place(BUILD_FILE), "", "is not judged while the team's rules or settings have errors")

_SAME_BUILD_SHARE = 0.5
"""A folder that vanished and one that came are one build where this share of their values agrees."""


class Revision(Record):
    """A state of the repository: its rules and limits, and its builds, which are read when they are needed.

    ``disk`` is what git knows of the working tree, if that is the state and git was asked.
    """

    __slots__ = ("__dict__",)

    label: str
    context: RuleContext
    disk: WorkingTree | None = None

    @cached_property
    def builds(self) -> dict[str, list[str]]:
        """What each build's folder holds, by its path from the repository's root, in order of these."""
        is_build = self.context.repository.is_build
        found = {name: files for name, files in self._names.items() if BUILD_FILE in files and is_build(name)}
        return {name: found[name] for name in sorted(found, key=lambda name: name.removeprefix("."))}

    @cached_property
    def _read(self) -> dict[str, Build]:
        return {}

    @cached_property
    def missing_manifest(self) -> tuple[Problem, ...]:
        """Folders that lost their build.yaml."""
        root = self.context.repository.root
        others = (
            Folder(root, name, name, tuple(files)) for name, files in self._names.items() if BUILD_FILE not in files
        )
        return tuple(missing_manifest(others))

    @cached_property
    def _names(self) -> dict[str, list[str]]:
        """What each folder holds, all from the root, where this state has it."""
        root, tree = self.context.repository.root, self.context.repository.tree
        return dict(tree.walk(root)) if tree.exists(root) else {}

    def fetch(self, builds: Iterable[str]) -> None:
        """Get the files of builds that are about to be read."""
        self.context.repository.tree.fetch([self._path(build) for build in builds])

    def build(self, name: str) -> Build:
        """A build of this state as read."""
        if name not in self._read:
            self._read[name] = read_build(self._path(name), name, tree=self.context.repository.tree)
        return self._read[name]

    def _path(self, name: str) -> Path:
        return self.context.repository.root / name

    def checked(self, name: str) -> CheckedBuild:
        """A build of this state checked."""
        return self.check(self.build(name))

    def check(self, build: Build, stage: str | None = None) -> CheckedBuild:
        """Any build under this state's rules; none is judged while those, or the team's settings, have errors."""
        if self.context.problems:
            build = replace(build, problems=tuple(sorted([*build.problems, _NOT_JUDGED])))
        return self.context.check(build, stage)


def revision(label: str, start: Path, tree: Tree, disk: WorkingTree | None = None) -> Revision:
    """The state of the repository around a folder."""
    return Revision(label, rule_context_for(start, tree), disk)


def pairs(before: Revision, after: Revision, folders: Sequence[str]) -> Iterator[tuple[str, str]]:
    """Folders of one build on both sides, renamed ones found by what they hold; empty where a side has none.

    Only those at or under ``folders``; all if there are none.
    """
    gone = [folder for folder in before.builds if folder not in after.builds]
    new = [folder for folder in after.builds if folder not in before.builds]
    renamed = dict(_renamed(before, after, gone, new))
    found = [(folder, folder) for folder in after.builds if folder in before.builds]
    found += [(renamed.get(folder, ""), folder) for folder in new]
    found += [(folder, "") for folder in gone if folder not in renamed.values()]
    for pair in sorted(found, key=lambda pair: pair[1] or pair[0]):
        if not folders or any(_is_in(folder, top) for folder in pair if folder for top in folders):
            yield pair


def _is_in(folder: str, top: str) -> bool:
    return top == "." or folder == top or folder.startswith(f"{top}/")


def _renamed(before: Revision, after: Revision, gone: list[str], new: list[str]) -> Iterator[tuple[str, str]]:
    before.fetch(gone)
    after.fetch(new)
    had = {folder: set(_values(before.build(folder))) for folder in gone}
    has = {folder: set(_values(after.build(folder))) for folder in new}
    shares = [(_share(had[old], has[now]), now, old) for old in gone for now in new]
    taken: set[str] = set()
    for share, now, old in sorted(shares, key=lambda found: (-found[0], found[1:])):
        if share >= _SAME_BUILD_SHARE and not taken & {f"new {now}", f"old {old}"}:
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
        yield path, flattened(node)
