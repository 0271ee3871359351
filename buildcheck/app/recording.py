"""Writes a new reading into a build: the change is checked first, then the file is replaced whole or not at all."""

from __future__ import annotations

import codecs
from dataclasses import dataclass
from pathlib import Path

from buildcheck.app.build_check import CheckedBuild, check_build
from buildcheck.app.run import RuleContext, display_path, rule_context_for
from buildcheck.build.build_folder import read_build
from buildcheck.build.new_reading import Edit
from buildcheck.core.file_lock import locked
from buildcheck.core.files import real, write_whole
from buildcheck.core.problem import Problem
from buildcheck.repo.overlay_tree import OverlayTree

ATTEMPTS = 3
_MARK = codecs.BOM_UTF8.decode()


@dataclass(frozen=True)
class Recorded:
    """A change of one file of a build: its text before and after, and the build checked as it is afterwards."""

    path: Path
    before: str
    after: str
    checked: CheckedBuild


class RefusedError(Exception):
    """A change after which the build could not be read; nothing was written."""

    def __init__(self, checked: CheckedBuild, problems: tuple[Problem, ...]) -> None:
        super().__init__(problems[0].message)
        self.checked = checked
        self.problems = problems


class ChangedMeanwhileError(Exception):
    """Another program changed the file each time just before it was replaced; nothing was written."""


def record(folder: Path, name: str, edit: Edit, write: bool = True) -> Recorded:
    """Change one file of a build; without ``write``, show only what would change.

    Raises RefusedError, ChangedMeanwhileError, NoRoomError and OSError; the file is then untouched.
    """
    path, context = real(folder / name), rule_context_for(folder)
    with locked(folder):
        for _ in range(ATTEMPTS):
            before = _text(path)
            after = _edited(before, edit)
            checked = _checked(folder, name, after, context)
            if not write:
                return Recorded(path, before, after, checked)
            if _text(path) == before:
                write_whole(path, after)
                return Recorded(path, before, after, checked)
    raise ChangedMeanwhileError(f"{name} is being changed by another program; nothing was written")


def _text(path: Path) -> str:
    return path.read_bytes().decode() if path.exists() else ""


def _edited(before: str, edit: Edit) -> str:
    mark = _MARK if before.startswith(_MARK) else ""
    return mark + edit(before.removeprefix(mark))


def _checked(folder: Path, name: str, text: str, context: RuleContext) -> CheckedBuild:
    build = read_build(folder, display_path(folder), None, OverlayTree(folder / name, text.encode()))
    checked = check_build(build, context.rules, context.team)
    problems = (*context.problems, *checked.problems)
    if problems:
        raise RefusedError(checked, problems)
    return checked
