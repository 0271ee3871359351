"""Which folders may differ between two sides: git lists them, so that only those builds are read."""

from __future__ import annotations

from contextlib import nullcontext
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
    with working_tree(new.root) if after.disk is None else nullcontext(after.disk) as disk:
        if disk.head is None:
            return None
        difference = between(new.root, base, disk.head.commit) | _uncommitted(new.root, disk)
        return affected_by(difference, new.root, disk.tracked, [*targets, *disk.tracked.targets()])


def _uncommitted(root: Path, disk: WorkingTree) -> GitDifference:
    """How the disk differs, or may differ, from HEAD; what differs inside other repositories is unknown."""
    difference = uncommitted(root, disk.changes) | possible(root, disk.tracked.unseen)
    submodules = (f"{folder}/" for folder in disk.tracked.submodules())
    return replace(difference, names=difference.names.union(submodules))
