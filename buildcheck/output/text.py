"""Findings in the GNU form, ``file:line:column: level: message [rule-id …]``: a line for each cause, help below it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from buildcheck.app.build_check import CheckedBuild
from buildcheck.app.rule_context import RuleContext
from buildcheck.app.run import Run, display_path
from buildcheck.core.escape import at_line_start, one_line
from buildcheck.core.plural import verb
from buildcheck.core.problem import Place, Problem
from buildcheck.output.cause_groups import CauseGroup, cause_groups, effect_text, group_text, help_text
from buildcheck.output.wording import outcome_text

Part = tuple[bool, str, str, str]
"""Of one build: whether something blocks, its folder, all its lines, and its verdict alone."""


def render_build(context: RuleContext, checked: CheckedBuild) -> Part:
    """All findings of a build, what blocks first, and its verdict; passes are left out."""
    lines = [f"{line}\n" for line in _build(context, checked)]
    return checked.exit_code != 0, checked.build.display_path, "".join(lines), lines[-1]


def render_document(context: RuleContext, found: Sequence[Problem], parts: Iterable[Part]) -> Iterator[str]:
    """What is wrong with the repository, then the builds.

    Of several builds those that block come first, with all their lines, then one line for each other build, and last
    the count and the names of those that block.
    """
    yield from (f"{problem_line(problem, display_path(context.repository.root))}\n" for problem in found)
    builds = list(parts)
    if len(builds) < 2:
        yield from (lines for _, _, lines, _ in builds)
        return
    yield from (lines for blocks, _, lines, _ in builds if blocks)
    yield from (verdict for blocks, _, _, verdict in builds if not blocks)
    names = [one_line(folder) for blocks, folder, _, _ in builds if blocks]
    yield f"{_of_all(len(names), len(builds))}{': ' if names else ''}{', '.join(names)}\n"


def _of_all(blocking: int, builds: int) -> str:
    return f"{blocking or 'none'} of {builds} builds {verb(blocking or 1, 'block')}"


def problems(run: Run) -> str:
    """Whatever cannot be read, of the repository and of its builds; empty where all can."""
    root = display_path(run.context.repository.root)
    lines = [problem_line(problem, root) for problem in run.problems]
    lines += [
        problem_line(problem, checked.build.display_path) for checked in run.builds for problem in checked.problems
    ]
    return "".join(f"{line}\n" for line in lines)


def _build(context: RuleContext, checked: CheckedBuild) -> Iterator[str]:
    for problem in checked.problems:
        yield problem_line(problem, checked.build.display_path)
    groups = cause_groups(checked)
    for group in groups:
        lead = group.lead
        yield _line(lead.place, checked.build.display_path, group.level, group_text(checked, group), group.rules_text)
        if cure := help_text(checked, group):
            yield f"  help: {one_line(cure)}"
        if effect := effect_text(checked, group):
            yield f"  effect: {one_line(effect)}"
        if page := context.repository.rule_page(lead.rule):
            yield f"  page: {page}"
    errors = [group for group in groups if group.blocks]
    outcome = outcome_text(checked, len(errors), _what_now(checked, errors))
    yield _line(Place("build.yaml"), checked.build.display_path, "note", outcome, "verdict")


def _what_now(checked: CheckedBuild, errors: Sequence[CauseGroup]) -> str:
    """What to do first while something blocks; empty if nothing does."""
    if checked.problems:
        correct = f"Correct {_errors_above(len(checked.problems))}, then check again"
        return f"No rule was checked, so nothing else is known yet. Do not order. {correct}"
    if not errors:
        return ""
    no_order = "Do not order. " if checked.options.stage == "measuring" else ""
    return f"{no_order}Correct {_errors_above(len(errors))}, then check again"


def _errors_above(number: int) -> str:
    return "the error above" if number == 1 else f"the {number} errors above, the first one first"


def problem_line(problem: Problem, folder: str, rule: str = "input") -> str:
    """One problem as a line."""
    path = f"{problem.path}: " if problem.path else ""
    return _line(problem.place, folder, "error", f"{path}{problem.message}", rule)


def _line(place: Place, folder: str, level: str, message: str, rule: str) -> str:
    line_text = one_line(place.qualify(folder, message))
    return f"{at_line_start(str(place.rebased_on(folder)))}: {level}: {line_text} [{rule}]"
