"""Folders as they follow from the names of files, walked as if they were on the disk."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping

from buildcheck.repo.file_tree import is_searched

Folders = Mapping[str, set[str]]
"""What each folder holds, files and folders; all from the top."""


def folders_of(files_in: Mapping[str, Iterable[str]]) -> Folders:
    """The folders of these files, named by folder, and all folders above."""
    found = defaultdict(set, {".": set[str](), **{folder: set(names) for folder, names in files_in.items()}})
    for folder in files_in:
        _add_above(found, folder)
    return dict(found)


def _add_above(folders: dict[str, set[str]], folder: str) -> None:
    """Put a folder into the one above it, and so on up to the top."""
    while folder != ".":
        above, _, name = folder.rpartition("/")
        folder = above or "."
        is_known = name in folders[folder]
        folders[folder].add(name)
        if is_known:
            break


def walk(folders: Folders, home: str) -> Iterator[tuple[str, list[str]]]:
    """A folder, as ``.``, and all below it, hidden ones left out, with the names of what each holds."""
    for name in sorted(folders):
        below = "." if name == home else name if home == "." else name.removeprefix(f"{home}/")
        inside = name == home or below != name or home == "."
        if inside and is_searched(below):
            yield below, sorted(folders[name])


def by_folder(names: Iterable[str]) -> dict[str, list[str]]:
    """The names of files in each folder, itself named from the top."""
    found: dict[str, list[str]] = defaultdict(list)
    for folder, _, file in [name.rpartition("/") for name in names]:
        found[folder].append(file)
    if "" in found:
        found["."] = found.pop("")
    return dict(found)
