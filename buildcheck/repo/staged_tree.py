"""Files as they are staged: what a commit would hold, wherever the working tree differs from it."""

from __future__ import annotations

import os
from collections.abc import Iterable
from pathlib import Path

from buildcheck.repo.commit_tree import blob_contents
from buildcheck.repo.file_tree import DISK, Tree
from buildcheck.repo.git import git
from buildcheck.repo.git_diff import Changed
from buildcheck.repo.overlay_tree import OverlayTree

_FILES = ("100644", "100755")
_TO_BE_ADDED = "A"
"""A file without staged content, by ``git add --intent-to-add``."""


def staged_tree(root: Path, changes: Iterable[Changed]) -> Tree:
    """The tree that a commit would hold; the disk itself if no tracked YAML file differs from what is staged."""
    start = "" if (root / ".git").exists() else os.fsdecode(git(root, "rev-parse", "--show-prefix")).rstrip("\n")
    found = [one for one in changes if one.on_disk != "." and one.name.endswith(".yaml") and one.name.startswith(start)]
    blobs = {one.name: one.blob for one in found if one.modes[1] in _FILES}
    contents = blob_contents(root, sorted(set(blobs.values())))
    files = {name: contents[blob] for name, blob in blobs.items()}
    files |= dict.fromkeys((one.name for one in found if one.on_disk == _TO_BE_ADDED), b"")
    return OverlayTree({root / name.removeprefix(start): content for name, content in files.items()}) if files else DISK
