"""Files as they are staged: what a commit would hold, wherever the working tree differs from it."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

from buildcheck.repo.commit_tree import blob_contents
from buildcheck.repo.file_tree import DISK, Tree
from buildcheck.repo.git import git
from buildcheck.repo.overlay_tree import OverlayTree

_DIFFERING = ("diff-files", "--name-only", "--relative", "-z", "--ignore-submodules", "--", "*.yaml")
_FILES = ("100644", "100755")


def staged_tree(root: Path) -> Tree:
    """The tree that a commit would hold; the disk itself if no tracked YAML file differs from what is staged."""
    names = [name for name in os.fsdecode(git(root, *_DIFFERING)).split("\0") if name]
    blobs = dict(_staged_blobs(root, names)) if names else {}
    contents = blob_contents(root, sorted(set(blobs.values())))
    return OverlayTree({root / name: contents[blob] for name, blob in blobs.items()}) if blobs else DISK


def _staged_blobs(root: Path, names: list[str]) -> Iterator[tuple[str, str]]:
    """Name and blob of regular files; a conflict has no staged content yet."""
    for entry in os.fsdecode(git(root, "ls-files", "--stage", "-z", "--", *names)).split("\0"):
        about, _, name = entry.partition("\t")
        if name:
            mode, blob, stage = about.split()
            if mode in _FILES and stage == "0":
                yield name, blob
