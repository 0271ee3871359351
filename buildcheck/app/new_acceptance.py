"""An acceptance counts from the commit after the one that brings it: that one is judged in full, by today's rules."""

from __future__ import annotations

from buildcheck.build.acceptance_record import RECORD, read_record
from buildcheck.build.build_folder import Build
from buildcheck.record import replace
from buildcheck.repo.head_commit import Head


def with_new_acceptance_marked(build: Build, before: Head) -> Build:
    """The build, its acceptance marked as new if the commit before does not hold the same record."""
    record = build.accepted
    if record is None or record.edited:
        return build
    path = before.folder(build.folder) / f"{RECORD}.yaml"
    if before.tree.exists(path) and read_record(before.tree.read(path, path.name).root) == record:
        return build
    return replace(build, accepted=replace(record, is_new=True))
