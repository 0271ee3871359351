"""Which folders may differ between two sides: git lists them, so that only those builds are read."""

from __future__ import annotations

from collections.abc import Iterable

from buildcheck.output.compare.revision import Revision
from buildcheck.record import replace
from buildcheck.repo.affected_builds import affected_by, rule_folders
from buildcheck.repo.commit_tree import Commit
from buildcheck.repo.git import commit_named
from buildcheck.repo.git_diff import GitDifference, between, possible, uncommitted
from buildcheck.repo.tracked_files import tracked_files


def affected_folders(before: Revision, after: Revision) -> frozenset[str] | None:
    """The folders, from the root, in which a build may differ; None where it may be any."""
    old, new = before.context.repository, after.context.repository
    if not isinstance(old.tree, Commit) or not old.root == new.root == old.tree.top:
        return None
    later = new.tree.commit if isinstance(new.tree, Commit) else ""
    head = later or commit_named(old.root, "HEAD")
    if not head:
        return None
    tracked = tracked_files(new.root, later)
    links = new.tree.targets() if isinstance(new.tree, Commit) else tracked.targets()
    difference = between(old.root, old.tree.commit, head)
    if not later:
        difference |= _with(uncommitted(new.root), tracked.submodules()) | possible(new.root, tracked.unseen)
    global_inputs = {*rule_folders(old), *rule_folders(new), *old.tree.targets(), *links}
    return affected_by(difference, new.root, tracked, global_inputs, later)


def _with(difference: GitDifference, submodules: Iterable[str]) -> GitDifference:
    """What differs inside other repositories is unknown."""
    return replace(difference, names=difference.names.union(f"{folder}/" for folder in submodules))
