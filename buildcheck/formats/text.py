"""Findings one a line in the GNU form, ``file:line:column: level: message [rule-id]``."""

from __future__ import annotations

import posixpath
from collections.abc import Iterator

from buildcheck.check import Checked
from buildcheck.escape import one_line
from buildcheck.findings import Place, Problem
from buildcheck.results import Result, grouped
from buildcheck.run import Run
from buildcheck.wording import conceded_shown, order_shown, subjects_shown, verdict_shown, waiting_shown


def write(run: Run) -> str:
    """All findings of a run and a verdict for each build; passes are left out."""
    lines = [problem_line(problem, "") for problem in run.problems]
    for checked in run.builds:
        lines += _build(checked)
    return "".join(f"{line}\n" for line in lines)


def _build(checked: Checked) -> Iterator[str]:
    for problem in checked.problems:
        yield problem_line(problem, checked.build.shown)
    told = [result for result in checked.results if result.kind in ("fail", "open") and not result.waits]
    for group in grouped(sorted(told, key=lambda result: (result.place, result.rule, result.subject.order))):
        said = " ".join([f"{subjects_shown(group.subjects)}:"] * bool(group.first.subject.text) + [_said(group.first)])
        yield _line(group.first.place, checked.build.shown, _level(group.first), said, group.first.rule)
    summary = f"{verdict_shown(checked)}{order_shown(checked)}{waiting_shown(checked)}"
    yield _line(Place("build.yaml"), checked.build.shown, "note", summary, "verdict")


def _level(result: Result) -> str:
    if result.blocks:
        return "error"
    return "warning" if result.kind == "fail" and result.level == "warning" else "note"


def _said(result: Result) -> str:
    if result.concession is not None:
        return conceded_shown(result.concession) + f": {result.message}"
    return result.message if result.due_now else f"not yet: {result.message}"


def problem_line(problem: Problem, folder: str, rule: str = "input") -> str:
    """One problem as a line."""
    path = f"{problem.path}: " if problem.path else ""
    return _line(problem.place, folder, "error", f"{path}{problem.message}", rule)


def _line(place: Place, folder: str, level: str, message: str, rule: str) -> str:
    file = posixpath.normpath(posixpath.join(folder, place.file))
    return f"{one_line(file)}:{place.line}:{place.column}: {level}: {one_line(message)} [{rule}]"
