"""A whole run: from paths to checked builds, with the problems of the repository itself."""

from __future__ import annotations

import os
import time
from collections.abc import Container, Iterator, Sequence
from pathlib import Path

from buildcheck.app.build_check import CheckedBuild
from buildcheck.app.new_acceptance import with_new_acceptance_marked
from buildcheck.app.part_witness import with_unexplained_changes
from buildcheck.app.rule_context import RuleContext, rule_context_for
from buildcheck.build.build_folder import Build, read_build
from buildcheck.core.files import real
from buildcheck.core.listing import first_names
from buildcheck.core.problem import Place, Problem
from buildcheck.core.usage_error import UsageError
from buildcheck.record import Record
from buildcheck.repo.affected_builds import folders_since, staged_folders
from buildcheck.repo.discovery import (
    builds_among,
    folders_under,
    left_out,
    linked_builds,
    misplaced,
    missing_manifest,
    refuse_other_repositories,
)
from buildcheck.repo.dropped_builds import concealed_changes, dropped_builds, removed_builds
from buildcheck.repo.file_tree import BUILD_FILE, CONFIG, DISK
from buildcheck.repo.git import commit_named
from buildcheck.repo.head_commit import Head, head_at
from buildcheck.repo.repository import Repository, repository_root
from buildcheck.repo.staged_state import StagedState, staged_meanwhile
from buildcheck.repo.tracked_files import Tracked, tracked_files
from buildcheck.rules.rule_loader import shipped_rules

STAGED_HELP = (
    "only builds affected by the staged changes, as staged; every build if nothing is staged; implies --tracked"
)
"""Help text of the option."""
MAX_NAMED = 3
"""So many folders are named where it may be any number."""
NO_BUILD = f"a build is a folder with a build.yaml that 'ignore' in {CONFIG} does not cover"
"""Why there may be no build although all patterns match."""
SINCE_HELP = "only builds affected by changes since the commit BASE; every build if settings changed; implies --tracked"
"""Help of the option --since."""
NOTHING_STAGED = "the staged changes affect no build: no build is checked"
"""Message if that leaves no build."""


class Run(Record):
    """Checked builds in order of their folders; without any where the frame itself has problems."""

    context: RuleContext
    builds: tuple[CheckedBuild, ...]
    problems: tuple[Problem, ...]

    @property
    def exit_code(self) -> int:
        """0 nothing blocks, 1 something does, 2 the input cannot be read."""
        return max([2 if self.problems else 0, *(checked.exit_code for checked in self.builds)])


class RunPlan(Record):
    """Which builds are to be checked, in order of their folders, in which frame and on which terms.

    ``head`` is the commit that readings and parts are compared with, ``base`` the one for acceptances, if any;
    ``files`` are those that count, all where it is None; ``started`` is when, in ns, before anything was read;
    ``left_out`` are folders with a build.yaml that the team's settings do not count among the builds,
    ``links`` lead to builds that are not among them.
    """

    context: RuleContext
    folders: tuple[Path, ...]
    problems: tuple[Problem, ...]
    files: Tracked | None = None
    stage: str | None = None
    strict: bool = False
    started: int = 0
    left_out: tuple[str, ...] = ()
    links: tuple[Path, ...] = ()
    head: Head | None = None
    base: Head | None = None

    @property
    def is_idle(self) -> bool:
        """Whether there are builds, but the staged changes affect none."""
        return not self.folders and not self.problems

    @property
    def is_disk(self) -> bool:
        """Whether all is read from the disk: results of staged files are not cached."""
        return self.context.repository.tree is DISK

    def check(self, folder: Path) -> CheckedBuild:
        """One of the builds, checked."""
        build = read_build(folder, display_path(folder), self.files, self.context.repository.tree)
        build = with_new_acceptance_marked(build, self.base) if self.base is not None else build
        build = with_unexplained_changes(build, self.head) if self.head is not None else build
        return self.context.check(build, self.stage, self.strict)

    def crashed(self, folder: Path, why: str) -> CheckedBuild:
        """One of the builds with nothing read of it, but why that is so."""
        build = Build(folder, display_path(folder), {}, (Problem(Place(BUILD_FILE), "", why),))
        return self.context.check(build, self.stage, self.strict)

    def run(self) -> Run:
        """All of the builds, checked and kept."""
        return Run(self.context, tuple(self.check(folder) for folder in self.folders), self.problems)


def plan_run(
    paths: Sequence[Path],
    stage: str | None = None,
    strict: bool = False,
    tracked: bool = False,
    touched: bool = False,
    since: str = "",
) -> RunPlan:
    """Every build at or under the paths; none while the frame has problems. UsageError where there is none.

    With ``touched`` only builds that the staged changes affect, as they are staged; with ``since`` only those
    that changes since that commit affect; both count only tracked files.
    """
    started = time.time_ns()
    root = repository_root(paths[0])
    refuse_other_repositories(paths, root)
    staged = _staged(root) if touched else None
    files = staged.tracked if staged is not None else tracked_files(root) if tracked or since else None
    tree = staged.tree if staged is not None else DISK
    context = rule_context_for(paths[0], tree)
    commit = _commit_since(root, since) if since else ""
    affected = _affected(context.repository, files, staged, commit) if files is not None else None
    folders = list(folders_under(paths, root, tree, affected))
    builds = tuple(builds_among(folders, context.repository, files).values())
    excluded = left_out(folders, context.repository, files)
    head = staged.head if staged is not None else None
    dropped = _dropped(paths, context, files, head, affected if touched else None) if files is not None else []
    is_limited = affected is not None and files is not None and _any_build(paths, context.repository, files)
    if not builds and not dropped and not is_limited:
        raise _no_build(paths, excluded)
    unreadable = (*context.problems, *missing_manifest(folders), *misplaced(paths, folders, root))
    uncommitted = (*_untracked(context, files), *dropped, *_concealed(root, files))
    problems = (*unreadable, *uncommitted)
    checkable, links = () if context.problems else builds, tuple(linked_builds(folders, context.repository, builds))
    head = head if checkable else None
    base = head_at(root, commit) if since else head
    return RunPlan(context, checkable, problems, files, stage, strict, started, tuple(excluded), links, head, base)


def _staged(root: Path) -> StagedState:
    """What is staged; rules are loaded while git looks."""
    with staged_meanwhile(root) as answer:
        shipped_rules()
        return answer()


def _concealed(root: Path, files: Tracked | None) -> Iterator[Problem]:
    yield from concealed_changes(root, files) if files is not None else ()


def _no_build(paths: Sequence[Path], excluded: Sequence[str]) -> UsageError:
    why = excluded_message(excluded) if excluded else NO_BUILD
    return UsageError(f"no build at or under {', '.join(map(str, paths))}: {why}")


def _dropped(
    paths: Sequence[Path], context: RuleContext, files: Tracked, head: Head | None, only: Container[str] | None
) -> list[Problem]:
    """Builds that would go unchecked; none while the settings themselves have problems."""
    if context.problems:
        return []
    removed = removed_builds(context.repository, files, head) if head is not None else ()
    return [*dropped_builds(paths, context.repository, files, only), *removed]


def _affected(repository: Repository, files: Tracked, staged: StagedState | None, since: str) -> frozenset[str] | None:
    """The folders to which a run is limited, by the staged changes or those since a commit; None for no limit."""
    if staged is not None:
        return staged_folders(repository, files, staged.changes)
    return folders_since(repository, files, since) if since else None


def _commit_since(root: Path, since: str) -> str:
    """The commit of a name. UsageError if there is no such commit."""
    if not (commit := commit_named(root, since)):
        raise UsageError(f"{since} names no commit here; in a shallow clone, fetch it first")
    return commit


def run(paths: Sequence[Path], stage: str | None = None, strict: bool = False) -> Run:
    """Check every build at or under the paths and keep them all. Raises UsageError where there is none."""
    return plan_run(paths, stage, strict).run()


def excluded_message(excluded: Sequence[str]) -> str:
    """Says which folders with a build.yaml the team's settings do not count among the builds."""
    return f"'builds' in {CONFIG} does not cover {first_names(excluded, MAX_NAMED)}"


def _any_build(paths: Sequence[Path], repository: Repository, files: Tracked) -> bool:
    """Whether there is a build at or under the paths, touched or not."""
    folders = folders_under(paths, repository.root, DISK, files.folders_with(BUILD_FILE))
    return any(builds_among([folder], repository, files) for folder in folders)


def only_build(run: Run, what: str, path: Path) -> CheckedBuild:
    """The one build of a run. Raises UsageError where there are several."""
    if len(run.builds) != 1:
        raise UsageError(f"{what} is for one build at a time: {path} holds {len(run.builds)}")
    return run.builds[0]


def _untracked(context: RuleContext, files: Tracked | None) -> Iterator[Problem]:
    """The team's own rules and settings that are in use but not in the commit."""
    if files is None:
        return
    for path in context.team_files():
        if real(path) not in files:
            shown_path = path.relative_to(context.repository.root).as_posix()
            yield Problem(Place(shown_path), "", "is not in the commit: git add it, or delete it")


def display_path(folder: Path) -> str:
    """A folder as people see it: relative to where they stand."""
    return Path(os.path.relpath(folder)).as_posix()
