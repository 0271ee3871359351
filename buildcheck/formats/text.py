"""Findings one a line in the GNU form, ``file:line:column: level: message [rule-id]``."""

from __future__ import annotations

import posixpath
from collections.abc import Iterator

from buildcheck.check import Checked
from buildcheck.escape import at_line_start, one_line
from buildcheck.findings import Place, Problem
from buildcheck.results import grouped
from buildcheck.run import Run, shown
from buildcheck.wording import finding_shown, level_shown, outcome_shown


def write(run: Run) -> str:
    """All findings of a run and a verdict for each build; passes are left out."""
    lines = [problem_line(problem, shown(run.frame.repository.root)) for problem in run.problems]
    for checked in run.builds:
        lines += _build(checked)
    return "".join(f"{line}\n" for line in lines)


def problems(run: Run) -> str:
    """Whatever cannot be read, of the repository and of its builds; empty where all can."""
    root = shown(run.frame.repository.root)
    lines = [problem_line(problem, root) for problem in run.problems]
    lines += [problem_line(problem, checked.build.shown) for checked in run.builds for problem in checked.problems]
    return "".join(f"{line}\n" for line in lines)


def _build(checked: Checked) -> Iterator[str]:
    for problem in checked.problems:
        yield problem_line(problem, checked.build.shown)
    told = [result for result in checked.results if result.is_finding]
    for group in grouped(sorted(told, key=lambda result: (result.place, result.rule, result.subject.order))):
        level, said = level_shown(group.first), finding_shown(group)
        yield _line(group.first.place, checked.build.shown, level, said, group.first.rule)
    yield _line(Place("build.yaml"), checked.build.shown, "note", outcome_shown(checked), "verdict")


def problem_line(problem: Problem, folder: str, rule: str = "input") -> str:
    """One problem as a line."""
    path = f"{problem.path}: " if problem.path else ""
    return _line(problem.place, folder, "error", f"{path}{problem.message}", rule)


def _line(place: Place, folder: str, level: str, message: str, rule: str) -> str:
    file = posixpath.normpath(posixpath.join(folder, place.file))
    return f"{at_line_start(file)}:{place.line}:{place.column}: {level}: {one_line(message)} [{rule}]"
