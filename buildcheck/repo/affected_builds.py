"""Which folders a difference touches: those in or under which a file differs, or that use a part which does."""

from __future__ import annotations

import os
import re
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

from buildcheck.core.part_reference import is_part_path
from buildcheck.repo.file_tree import BUILD_FILE, CONFIG, DISK, OWN_FILES
from buildcheck.repo.git import git, top_and_head
from buildcheck.repo.git_diff import (
    Changed,
    GitDifference,
    between,
    changed_files,
    possible,
    staged_changes,
    uncommitted,
)
from buildcheck.repo.repository import Repository
from buildcheck.repo.tracked_files import Tracked

_SEARCH = (
    "grep", "--threads=1", "-z", "--text", "--full-name", "--no-color", "--no-line-number", "--no-column",
    "--no-recurse-submodules", "-E", "-e", r"\.yaml|\\",
)  # fmt: skip
_LINE = re.compile(r"([^\0]*)\0(.*)\n")
_WORD = re.compile(r"[A-Za-z0-9._/-]+\.yaml")
_HOOKS = ".pre-commit-config.yaml"
"""Where a team says which version of the tool judges."""
_ESCAPED = "\\"
"""Means any part: behind a backslash a name may be written in other characters, behind a link anywhere."""


def staged_folders(repository: Repository, tracked: Tracked, changes: Sequence[Changed]) -> frozenset[str] | None:
    """The folders that the staged changes affect, relative to the root; None if they may affect any.

    Folders in which the next commit has no file are left out.
    """
    difference = staged_changes(repository.root, changes)
    if difference is None:
        return None
    there = (name for name in tracked.unseen if DISK.exists(repository.root / name))
    difference |= possible(repository.root, there)
    found = affected_by(difference, repository.root, tracked, [*tracked.targets(), *rule_folders(repository)])
    return frozenset(folder for folder in found if folder in tracked.files_in) if found is not None else None


def folders_since(repository: Repository, tracked: Tracked, base: str) -> frozenset[str] | None:
    """The folders that may differ between a commit and the working tree, from the root; None if it may be any."""
    root = repository.root
    found = top_and_head(root)
    if found is None or found[0] != root:
        return None
    difference = between(root, base, found[1]) | uncommitted(root, changed_files(root)) | possible(root, tracked.unseen)
    return affected_by(difference, root, tracked, [*tracked.targets(), *rule_folders(repository)])


def rule_folders(repository: Repository) -> Iterator[str]:
    """The team's rule folders, and where links among the rules lead, from the root."""
    for folder, _ in repository.rule_folders()[0]:
        for path in (folder, *repository.tree.yaml_files(folder)):
            yield from _led(path, repository.root)


def _led(path: Path, root: Path) -> Iterator[str]:
    """Where a path leads on the disk, from the root; nothing where it leads out."""
    there = Path(os.path.realpath(path))
    if there.is_relative_to(root):
        yield there.relative_to(root).as_posix()


def affected_by(
    difference: GitDifference, root: Path, tracked: Tracked, global_inputs: Iterable[str], commit: str = ""
) -> frozenset[str] | None:
    """The folders that a difference touches, their users as they are in the working tree or a commit.

    None where settings, the tool's version, a link or anything at or under the ``global_inputs`` differ: then it may
    be any.
    """
    above = frozenset(folder for name in difference.names for folder in _at_and_above(name))
    if _any_settings(difference) or not difference.files_only or not above.isdisjoint(global_inputs):
        return None
    parts = _parts(difference, tracked)
    users = _users(parts, _mentions(root, commit, tracked)) if parts else ()
    return above | {folder for name in users for folder in _at_and_above(name)}


def is_within_builds(difference: GitDifference, tracked: Tracked) -> bool:
    """Whether only texts, and builds' own files, differ: no part, no settings, no link."""
    return difference.files_only and not _any_settings(difference) and not _parts(difference, tracked)


def _any_settings(difference: GitDifference) -> bool:
    """Whether settings or the tool's version differ."""
    return any(_file_name(name) in (CONFIG, _HOOKS) for name in difference.names)


def _at_and_above(name: str) -> Iterator[str]:
    yield name
    while "/" in name:
        name = name.rpartition("/")[0]
        yield name
    yield "."


def _parts(difference: GitDifference, tracked: Tracked) -> set[str]:
    """What differs and may be a part, or may be one no longer: a build's own files are none."""
    above = (each for name in difference.added_or_removed for each in _at_and_above(name))
    moved = {_folder(name) for name in above if _file_name(name) == BUILD_FILE}
    builds = tracked.folders_with(BUILD_FILE) - moved
    names = {*difference.names, *(name for name in tracked.names if moved and _folder(name) in moved)}
    return {
        name for name in names if _is_part(name) and not (_file_name(name) in OWN_FILES and _folder(name) in builds)
    }


def _is_part(name: str) -> bool:
    """Whether a file may be one, or a folder may hold one."""
    return is_part_path(f"{name}any.yaml" if name.endswith("/") else name)


def _folder(name: str) -> str:
    return name.rpartition("/")[0] or "."


def _file_name(name: str) -> str:
    return name.rpartition("/")[2]


def _users(parts: set[str], mentions: dict[str, set[str]]) -> set[str]:
    """The files that name one of the parts, or a part that uses it, or may do so in other characters."""
    found: set[str] = set(mentions.get(_ESCAPED, ()))
    new = parts | found
    while new:
        whole = tuple(name for name in new if name.endswith("/"))
        named = {part for part in mentions if part in new or part.startswith(whole)}
        new = {file for part in named for file in mentions[part]} - found
        found |= new
    return found


def _mentions(root: Path, commit: str, tracked: Tracked) -> dict[str, set[str]]:
    """Every name of a YAML file that one mentions, or to which it leads, and the files that mention it."""
    output = os.fsdecode(git(root, *_SEARCH, *([commit] if commit else []), "--", "*.yaml", fine=(0, 1)))
    found = {_ESCAPED: {name for name in tracked.links() if name.endswith(".yaml")}}
    for file, line in _LINE.findall(output):
        for word in (*_WORD.findall(line), *([_ESCAPED] if _ESCAPED in line else [])):
            found.setdefault(word, set()).add(file.removeprefix(f"{commit}:") if commit else file)
    for word in () if commit else list(found):
        for name in _led(root / word, root):
            found.setdefault(name, set()).update(found[word])
    return found
