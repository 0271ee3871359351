"""Findings one a line in the GNU form, ``file:line:column: level: message [rule-id]``."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from buildcheck.app.build_check import Checked
from buildcheck.app.run import Frame, Run, shown
from buildcheck.core.escape import at_line_start, one_line
from buildcheck.core.problem import Place, Problem
from buildcheck.output.finding_wording import grouped
from buildcheck.output.wording import finding_shown, level_shown, outcome_shown


def part(frame: Frame, checked: Checked) -> str:
    """All findings of a build, what blocks first, and its verdict; passes are left out."""
    return "".join(f"{line}\n" for line in _build(checked))


def whole(frame: Frame, found: Sequence[Problem], parts: Iterable[str]) -> Iterator[str]:
    """What is wrong with the repository, then all builds."""
    yield from (f"{problem_line(problem, shown(frame.repository.root))}\n" for problem in found)
    yield from parts


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
    for group in grouped(
        checked, sorted(told, key=lambda one: (not one.blocks, one.place, one.rule, one.subject.order))
    ):
        level, said = level_shown(group.first), finding_shown(group)
        yield _line(group.first.place, checked.build.shown, level, said, group.first.rule)
    yield _line(Place("build.yaml"), checked.build.shown, "note", outcome_shown(checked), "verdict")


def problem_line(problem: Problem, folder: str, rule: str = "input") -> str:
    """One problem as a line."""
    path = f"{problem.path}: " if problem.path else ""
    return _line(problem.place, folder, "error", f"{path}{problem.message}", rule)


def _line(place: Place, folder: str, level: str, message: str, rule: str) -> str:
    said = one_line(place.said_of(folder, message))
    return f"{at_line_start(str(place.under(folder)))}: {level}: {said} [{rule}]"
