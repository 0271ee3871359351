"""Writes a new reading into a build: the change is checked first, then the file is replaced whole or not at all."""

from __future__ import annotations

import codecs
from collections.abc import Callable, Mapping
from pathlib import Path

from buildcheck.app.build_check import CheckedBuild, facts_as_read
from buildcheck.app.rule_context import RuleContext, rule_context_for
from buildcheck.app.run import display_path
from buildcheck.build.build_folder import read_build
from buildcheck.build.new_reading import Edit
from buildcheck.build.part_changes import PartChange, part_changes
from buildcheck.core.file_lock import locked
from buildcheck.core.files import real, write_whole
from buildcheck.core.problem import Problem
from buildcheck.record import Record
from buildcheck.repo.overlay_tree import OverlayTree

ATTEMPTS = 3
_MARK = codecs.BOM_UTF8.decode()


class ChangedFile(Record):
    """A file's text before and after a change."""

    path: Path
    before: str
    after: str


class Recorded(Record):
    """A change of files of a build, the last one first, and the build checked as it is afterwards."""

    files: tuple[ChangedFile, ...]
    checked: CheckedBuild


class RefusedError(Exception):
    """A change after which the build could not be read; nothing was written."""

    def __init__(self, checked: CheckedBuild, problems: tuple[Problem, ...]) -> None:
        super().__init__(problems[0].message)
        self.checked = checked
        self.problems = problems


class DoubtfulError(Exception):
    """A reading that contradicts another one; nothing was written."""


class ChangedMeanwhileError(Exception):
    """Another program changed the file each time just before it was replaced; nothing was written."""


def no_doubt(checked: CheckedBuild) -> str:
    """Nothing is doubtful: a reading is written as it is entered."""
    return ""


def record(
    folder: Path, edits: Mapping[str, Edit], write: bool = True, refuse: Callable[[CheckedBuild], str] = no_doubt
) -> Recorded:
    """Change files of a build, in their order; without ``write``, show only what would change.

    ``refuse`` returns why the build as it would be is doubtful. Every file is replaced whole; the build can be read
    after each. Raises DoubtfulError, RefusedError, ChangedMeanwhileError,
    UnsupportedLayoutError and OSError; no file has changed then, but where the disk fails between two files.
    """
    context = rule_context_for(folder)
    with locked(folder):
        for _ in range(ATTEMPTS):
            files = tuple(_changed(real(folder / name), edit) for name, edit in edits.items())
            checked = _checked(folder, {name: one.after for name, one in zip(edits, files, strict=True)}, context)
            if doubt := refuse(checked):
                raise DoubtfulError(doubt)
            if write and any(_text(one.path) != one.before for one in files):
                continue
            for one in files if write else ():
                if one.after != one.before:
                    write_whole(one.path, one.after)
            return Recorded(files[::-1], checked)
    raise ChangedMeanwhileError(f"{', '.join(edits)}: another program is changing it; nothing was written")


def changed_parts(checked: CheckedBuild) -> list[PartChange]:
    """The parts that differ from the last state, if nothing else is wrong with the build."""
    changes = list(part_changes(facts_as_read(checked.build))) if not checked.build.problems else []
    only = {problem.place for problem in checked.problems} == {change.place for change in changes}
    return changes if only else []


def _changed(path: Path, edit: Edit) -> ChangedFile:
    before = _text(path)
    return ChangedFile(path, before, _edited(before, edit))


def _text(path: Path) -> str:
    return path.read_bytes().decode() if path.exists() else ""


def _edited(before: str, edit: Edit) -> str:
    mark = _MARK if before.startswith(_MARK) else ""
    return mark + edit(before.removeprefix(mark))


def _checked(folder: Path, texts: Mapping[str, str], context: RuleContext) -> CheckedBuild:
    files = {folder / name: text.encode() for name, text in texts.items()}
    build = read_build(folder, display_path(folder), None, OverlayTree(files))
    checked = context.check(build)
    problems = (*context.problems, *checked.problems)
    if problems:
        raise RefusedError(checked, problems)
    return checked
