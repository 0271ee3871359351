"""One side of a comparison: the builds of a commit or of the working tree, and which of them are the same build."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path

from buildcheck.build import Build, read_build
from buildcheck.check import Checked, check_build
from buildcheck.compare.inputs import written
from buildcheck.findings import Problem
from buildcheck.reading import Node
from buildcheck.repository import builds_under, headless
from buildcheck.run import Frame, frame_for
from buildcheck.tree import Tree

_ALIKE = 0.5
"""A folder that vanished and one that came are one build where this share of their values agrees."""


@dataclass(frozen=True)
class Side:
    """A state of the repository: its rules and limits, and its builds as read, by folder."""

    label: str
    frame: Frame

    @cached_property
    def builds(self) -> dict[str, Build]:
        """Every build of this state, by its folder relative to the repository's root."""
        root, tree = self.frame.repository.root, self.frame.repository.tree
        folders = builds_under(self._start, self.frame.repository)
        shown = {folder.relative_to(root).as_posix(): folder for folder in folders}
        return {name: read_build(folder, name, tree=tree) for name, folder in shown.items()}

    @cached_property
    def headless(self) -> tuple[Problem, ...]:
        """Folders that lost their build.yaml."""
        repository = self.frame.repository
        return tuple(headless(self._start, repository.root, repository.tree))

    @property
    def _start(self) -> list[Path]:
        """The root, where this state has it."""
        root = self.frame.repository.root
        return [root] if self.frame.repository.tree.exists(root) else []

    def judged(self, folder: str) -> Checked:
        """A build of this state checked."""
        return self.judging(self.builds[folder])

    def judging(self, build: Build) -> Checked:
        """Any build under this state's rules; what is wrong with the team's settings counts as wrong with it."""
        return check_build(
            replace(build, problems=tuple(sorted([*build.problems, *self.frame.problems]))),
            self.frame.rules,
            self.frame.team,
        )


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
    shares = [(_share(before.builds[old], after.builds[now]), now, old) for old in gone for now in new]
    taken: set[str] = set()
    for share, now, old in sorted(shares, key=lambda found: (-found[0], found[1:])):
        if share >= _ALIKE and not taken & {f"new {now}", f"old {old}"}:
            taken |= {f"new {now}", f"old {old}"}
            yield now, old


def _share(old: Build, new: Build) -> float:
    """Values that both builds have at the same place, as a share of all that either has."""
    ours, theirs = set(_values(old)), set(_values(new))
    return len(ours & theirs) / max(len(ours | theirs), 1)


def _values(build: Build) -> Iterator[tuple[str, str]]:
    for name, root in build.roots.items():
        yield from _leaves(root, name)


def _leaves(node: Node, path: str) -> Iterator[tuple[str, str]]:
    for key, child in [*node.entries.items(), *((str(i), item) for i, item in enumerate(node.items))]:
        yield from _leaves(child, f"{path}.{key}")
    if not node.entries and not node.items:
        yield path, written(node)
