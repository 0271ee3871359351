"""Which folders may differ between two sides: git lists them, so that only those builds are read."""

from __future__ import annotations

from pathlib import Path

from buildcheck.output.compare.revision import Revision
from buildcheck.record import replace
from buildcheck.repo.affected_builds import affected_by, rule_folders
from buildcheck.repo.commit_tree import Commit
from buildcheck.repo.git_diff import GitDifference, between, possible, uncommitted
from buildcheck.repo.tracked_files import tracked_files
from buildcheck.repo.working_tree import WorkingTree, working_tree


def affected_folders(before: Revision, after: Revision) -> frozenset[str] | None:
    """The folders, from the root, in which a build may differ; None where it may be any."""
    old, new = before.context.repository, after.context.repository
    if not isinstance(old.tree, Commit) or not old.root == new.root == old.tree.top:
        return None
    base, targets = old.tree.commit, [*rule_folders(old), *rule_folders(new), *old.tree.targets()]
    if isinstance(new.tree, Commit):
        tracked = tracked_files(new.root, new.tree.commit)
        difference = between(new.root, base, new.tree.commit)
        return affected_by(difference, new.root, tracked, [*targets, *new.tree.targets()], new.tree.commit)
    if after.disk is None:
        with working_tree(new.root) as disk:
            return _affected_since(base, disk, new.root, targets)
    return _affected_since(base, after.disk, new.root, targets)


def _affected_since(base: str, disk: WorkingTree, root: Path, targets: list[str]) -> frozenset[str] | None:
    """The folders in which a build may differ between a commit and the working tree."""
    if disk.head is None:
        return None
    difference = between(root, base, disk.head.commit) | _uncommitted(root, disk)
    return affected_by(difference, root, disk.tracked, [*targets, *disk.tracked.targets()])


def _uncommitted(root: Path, disk: WorkingTree) -> GitDifference:
    """How the disk differs, or may differ, from HEAD; what differs inside other repositories is unknown."""
    difference = uncommitted(root, disk.changes) | possible(root, disk.tracked.unseen)
    submodules = (f"{folder}/" for folder in disk.tracked.submodules())
    return replace(difference, names=difference.names.union(submodules))
