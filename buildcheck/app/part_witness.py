"""Git as a second witness: parts that changed since the last commit while readings taken on them stayed."""

from __future__ import annotations

from buildcheck.app.acceptance import is_unchanged
from buildcheck.app.build_check import facts_as_read
from buildcheck.build.build_folder import Build, read_build
from buildcheck.build.facts import Facts
from buildcheck.build.reading_history import changed_parts
from buildcheck.record import replace
from buildcheck.repo.file_tree import BUILD_FILE
from buildcheck.repo.head_commit import Head, head_of


def with_unexplained_changes(build: Build, head: Head) -> Build:
    """The build with a problem for each changed part that neither readings, states nor voids account for."""
    if build.problems or is_unchanged(build) or not head.differs(build.folder, build.parts.values()):
        return build
    before = _committed(build, head)
    found = changed_parts(facts_as_read(before), facts_as_read(build)) if before is not None else []
    return replace(build, problems=tuple(sorted(part.problem for part in found)))


def committed_parts(build: Build) -> Facts | None:
    """The build in the last commit, if parts have changed since then under readings that stayed; else None."""
    head = head_of(build.folder)
    before = _committed(build, head) if head is not None else None
    facts = facts_as_read(before) if before is not None else None
    return facts if facts is not None and changed_parts(facts, facts_as_read(build)) else None


def _committed(build: Build, head: Head) -> Build | None:
    """A build as a commit has it; None if it is not there or cannot be read."""
    old = head.folder(build.folder)
    if not head.tree.exists(old / BUILD_FILE):
        return None
    before = read_build(old, build.display_path, tree=head.tree)
    return before if not before.problems else None
