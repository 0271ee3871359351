"""Folders at or under the paths, each looked at once: builds, builds that lost build.yaml, settings out of place."""

from __future__ import annotations

import os
from collections.abc import Collection, Iterable, Iterator, Sequence
from pathlib import Path, PurePath

from buildcheck.core.files import real
from buildcheck.core.problem import Place, Problem
from buildcheck.core.usage_error import UsageError
from buildcheck.record import Record, replace
from buildcheck.repo.file_tree import BUILD_FILE, CONFIG, DISK, OWN_FILES, Tree, is_seen, joined, root_of
from buildcheck.repo.misnamed_files import misnamed_files
from buildcheck.repo.repository import Repository
from buildcheck.repo.tracked_files import Tracked

FEWEST_FILES = 3
"""So many of a build's files without build.yaml are taken for a build that lost it."""


class Folder(Record):
    """A folder below a requested one, its path from the repository's root, and the names of what it holds."""

    start: Path
    below: str
    rel_path: str
    names: tuple[str, ...]

    @property
    def path(self) -> Path:
        """The folder as requested."""
        return self.start / self.below

    @property
    def files(self) -> tuple[str, ...]:
        """The build's files in it, from the repository's root, in order."""
        return tuple(joined(self.rel_path, name) for name in sorted(OWN_FILES.intersection(self.names)))


def folders_under(
    paths: Sequence[Path], root: Path, tree: Tree = DISK, only: Collection[str] | None = None
) -> Iterator[Folder]:
    """Every folder at or under the paths; with ``only``, of those alone that it names from the root."""
    for path in paths:
        start = _start(path, tree)
        home = PurePath(os.path.relpath(start.resolve(), root)).as_posix()
        for below, names in tree.walk(start) if only is None else _named(start, home, tree, only):
            yield Folder(start, below, joined(home, below), tuple(names))


def _start(path: Path, tree: Tree) -> Path:
    if not tree.exists(path) or (path.is_symlink() and not path.exists()):
        raise UsageError(f"{path} does not exist")
    return path if tree.is_dir(path) else path.parent


def _named(start: Path, home: str, tree: Tree, only: Iterable[str]) -> Iterator[tuple[str, list[str]]]:
    for name in sorted(only):
        below = PurePath(os.path.relpath(name, home))
        if all(map(is_seen, below.parts)) and tree.is_dir(start / below):
            yield below.as_posix(), tree.names(start / below)


def builds_among(folders: Iterable[Folder], repository: Repository, tracked: Tracked | None = None) -> dict[str, Path]:
    """The builds by their paths from the root. With ``tracked``, a folder with no tracked file is none."""
    found = {one.rel_path: one for one in _with_build_file(folders, tracked) if repository.is_build(one.rel_path)}
    in_order = sorted(found.items(), key=lambda named: joined(named[1].start.as_posix(), named[1].below))
    return {name: folder.path for name, folder in in_order}


def left_out(folders: Iterable[Folder], repository: Repository, tracked: Tracked | None = None) -> list[str]:
    """Folders with a build.yaml that neither 'builds' nor 'ignore' covers, by their paths from the root, in order."""
    found = (one.rel_path for one in _with_build_file(folders, tracked))
    return sorted(
        rel_path
        for rel_path in found
        if not repository.matches_builds(rel_path) and not repository.is_ignored(rel_path)
    )


def _with_build_file(folders: Iterable[Folder], tracked: Tracked | None) -> Iterator[Folder]:
    for folder in folders:
        in_git = tracked is None or not tracked.names.isdisjoint(folder.files)
        if in_git and BUILD_FILE in folder.names:
            yield folder


def linked_builds(folders: Iterable[Folder], repository: Repository, builds: Iterable[Path]) -> Iterator[Path]:
    """Links among the folders that lead to a build beside those found: no link is walked into."""
    found = {real(build) for build in builds}
    for folder in folders:
        for name in _links_in(folder.path):
            link = folder.path / name
            counts = repository.is_build(joined(folder.rel_path, name)) and os.path.isfile(link / BUILD_FILE)
            if counts and real(link) not in found:
                yield link


def _links_in(folder: Path) -> list[str]:
    """Links in a folder that may lead to builds, by their names in order."""
    with os.scandir(folder) as entries:
        names = sorted(one.name for one in entries if one.is_symlink())
    return [name for name in names if name not in OWN_FILES and is_seen(name)]


def missing_manifest(folders: Iterable[Folder]) -> Iterator[Problem]:
    """Folders that hold files of a build but no build.yaml: a build that would drop out in silence."""
    for folder in folders:
        if BUILD_FILE in folder.names or not folder.files:
            continue
        if len(folder.files) >= FEWEST_FILES:
            message = "is a build's file, but there is no build.yaml beside it: the build would go unchecked"
            yield Problem(Place(folder.files[0]), "", message)
        for stray in misnamed_files(folder.names, ("build",)):
            yield replace(stray, place=Place((PurePath(folder.rel_path) / stray.place.file).as_posix()))


def refuse_other_repositories(paths: Sequence[Path], root: Path, tree: Tree = DISK) -> None:
    """UsageError where paths lie in repositories with settings of their own: one's rules would judge the other."""
    for path in paths:
        other = root_of(path if path.is_dir() else path.parent, tree)
        if other != root and any(tree.exists(each / CONFIG) for each in (root, other)):
            raise UsageError(f"{path} is in another repository than {paths[0]}: check them one by one")


def misplaced(paths: Sequence[Path], folders: Iterable[Folder], root: Path, tree: Tree = DISK) -> Iterator[Problem]:
    """Settings that stand below the repository's root: they would count, or not, by where the call is made from."""
    below = [folder.rel_path for folder in folders if CONFIG in folder.names and ".git" not in folder.names]
    above = {each: None for path in paths for each in _start(path, tree).resolve().parents if each.is_relative_to(root)}
    below += [
        each.relative_to(root).as_posix() for each in above if tree.exists(each / CONFIG) and not tree.is_top(each)
    ]
    for rel_path in below:
        if rel_path != ".":
            place = Place((PurePath(rel_path) / CONFIG).as_posix())
            yield Problem(place, "", f"counts only at the repository's root, {root.name}: move it there")
