"""The team's repository: its root, its buildcheck.yaml, which folders are builds, what git tracks."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fnmatch import fnmatchcase
from pathlib import Path, PurePath

from buildcheck.findings import Place, Problem
from buildcheck.git import UsageError, git
from buildcheck.reading import Node, find
from buildcheck.strays import stray_files
from buildcheck.tree import CONFIG, DISK, FILES, Tree, root_of
from buildcheck.validation import validate

REPORT = "REPORT.md"
INDEX = "BUILDS.md"
FEWEST_FILES = 3
"""So many of a build's files without build.yaml are taken for a build that lost it."""


@dataclass(frozen=True)
class Repository:
    """Root folder, the team's settings where there are any, what is wrong with them, and where all is read from."""

    root: Path
    config: Node | None
    problems: tuple[Problem, ...]
    tree: Tree = DISK

    @property
    def report_name(self) -> str:
        """Name of the report inside each build folder."""
        return (self.config.word("report") if self.config is not None else "") or REPORT

    @property
    def index_name(self) -> str:
        """Name of the overview of all builds, at the root."""
        return (self.config.word("index") if self.config is not None else "") or INDEX

    def listed(self, key: str) -> list[Node]:
        """A list of the settings; empty where it is not written."""
        node = find(self.config, [key]) if self.config is not None else None
        return node.items if node is not None else []

    def rule_folders(self) -> tuple[list[tuple[Path, str]], list[Problem]]:
        """The team's rule folders (path, and as shown), and those that are not there or lie outside."""
        folders, problems = [], []
        for node in self.listed("rules"):
            shown = str(node.value).rstrip("/")
            folder = (self.root / shown).resolve()
            if not folder.is_relative_to(self.root.resolve()):
                problems.append(Problem(node.place, "rules", f"{shown} lies outside the repository"))
            elif not self.tree.is_dir(folder):
                problems.append(Problem(node.place, "rules", f"there is no folder {shown}"))
            else:
                folders.append((self.root / shown, shown))
        return folders, problems

    def is_build(self, folder: Path) -> bool:
        """Whether a folder counts as a build: by the settings' patterns, else wherever build.yaml stands."""
        patterns = [str(node.value) for node in self.listed("builds")]
        if not patterns:
            return True
        shown = folder.resolve().relative_to(self.root.resolve()).as_posix()
        return any(fnmatchcase(shown, pattern.rstrip("/")) for pattern in patterns)


def repository_of(path: Path, tree: Tree = DISK) -> Repository:
    """The repository that holds a path, with its settings where there are any."""
    root = root_of(path if path.is_dir() else path.parent, tree)
    return _read(root, tree) if tree.exists(root / CONFIG) else Repository(root, None, (), tree)


def _read(root: Path, tree: Tree) -> Repository:
    document = tree.read(root / CONFIG, CONFIG)
    problems = list(document.problems)
    if document.root is not None:
        problems += validate("buildcheck", document.root, CONFIG)
    return Repository(root, document.root if not problems else None, tuple(sorted(problems)), tree)


def find_builds(paths: Sequence[Path], repository: Repository, tracked: frozenset[Path] | None = None) -> list[Path]:
    """All build folders at or under the paths; UsageError for a path that is not there, and where there is none."""
    found = builds_under(paths, repository, tracked)
    if not found:
        raise UsageError(f"no build at or under {', '.join(map(str, paths))}: a build is a folder with a build.yaml")
    return found


def builds_under(paths: Sequence[Path], repository: Repository, tracked: frozenset[Path] | None = None) -> list[Path]:
    """All build folders at or under the paths, sorted. With ``tracked``, a folder with no tracked file is none."""
    found: dict[Path, None] = {}
    for folder in _folders_under(paths, repository.tree):
        files = [folder / f"{name}.yaml" for name in FILES if repository.tree.exists(folder / f"{name}.yaml")]
        in_git = tracked is None or any(folder.resolve() / path.name in tracked for path in files)
        if (folder / "build.yaml") in files and in_git and repository.is_build(folder):
            found[folder] = None
    return sorted(found, key=lambda folder: folder.as_posix())


def headless(paths: Sequence[Path], root: Path, tree: Tree = DISK) -> Iterator[Problem]:
    """Folders that hold files of a build but no build.yaml: a build that would drop out in silence."""
    for folder in _folders_under(paths, tree):
        there = [name for name in FILES if name != "build" and tree.exists(folder / f"{name}.yaml")]
        if tree.exists(folder / "build.yaml"):
            continue
        seen = PurePath(os.path.relpath(folder.resolve(), root))
        if len(there) >= FEWEST_FILES:
            message = "is a build's file, but there is no build.yaml beside it: the build would go unchecked"
            yield Problem(Place((seen / f"{there[0]}.yaml").as_posix()), "", message)
        for stray in stray_files(folder, ("build",), tree) if there else ():
            yield replace(stray, place=Place((seen / stray.place.file).as_posix()))


def refuse_other_repositories(paths: Sequence[Path], root: Path, tree: Tree = DISK) -> None:
    """UsageError where paths lie in repositories with settings of their own: one's rules would judge the other."""
    for path in paths:
        other = root_of(path if path.is_dir() else path.parent, tree)
        if other != root and any(tree.exists(each / CONFIG) for each in (root, other)):
            raise UsageError(f"{path} is in another repository than {paths[0]}: check them one by one")


def misplaced(paths: Sequence[Path], root: Path, tree: Tree = DISK) -> Iterator[Problem]:
    """Settings that stand below the repository's root: they would count, or not, by where the call is made from."""
    for path in paths:
        upwards = [each for each in path.resolve().parents if each.is_relative_to(root)]
        for folder in (*upwards, *_folders_under([path], tree)):
            if tree.exists(folder / CONFIG) and folder.resolve() != root and not tree.is_top(folder):
                place = Place(Path(os.path.relpath(folder.resolve() / CONFIG, root)).as_posix())
                yield Problem(place, "", f"counts only at the repository's root, {root.name}: move it there")


def _folders_under(paths: Sequence[Path], tree: Tree) -> Iterator[Path]:
    for path in paths:
        if not tree.exists(path):
            raise UsageError(f"{path} does not exist")
        yield from tree.folders(path if tree.is_dir(path) else path.parent)


def tracked_files(root: Path) -> frozenset[Path]:
    """All files that git tracks; UsageError where git cannot tell."""
    listed = git(root, "ls-files", "-z", "--cached").split(b"\0")
    return frozenset(root.resolve() / os.fsdecode(name) for name in listed if name)
