"""Git as a second witness: parts that changed since the last commit while readings taken on them stayed."""

from __future__ import annotations

from buildcheck.app.acceptance import is_unchanged
from buildcheck.app.build_check import facts_as_read
from buildcheck.build.build_folder import Build, read_build
from buildcheck.build.reading_history import changed_parts
from buildcheck.record import replace
from buildcheck.repo.file_tree import BUILD_FILE
from buildcheck.repo.head_commit import Head


def with_unexplained_changes(build: Build, head: Head) -> Build:
    """The build with a problem for each changed part that neither readings, states nor voids account for."""
    if build.problems or is_unchanged(build) or not head.differs(build.folder, build.parts.values()):
        return build
    old = head.folder(build.folder)
    if not head.tree.exists(old / BUILD_FILE):
        return build
    before = read_build(old, build.display_path, tree=head.tree)
    if before.problems:
        return build
    found = changed_parts(facts_as_read(before), facts_as_read(build))
    return replace(build, problems=tuple(sorted(part.problem for part in found)))
