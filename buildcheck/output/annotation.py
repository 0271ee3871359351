"""Findings for CI, before a format renders them: findings at places of the checked-out repository."""

from __future__ import annotations

import os
from collections import Counter
from collections.abc import Iterable, Iterator
from pathlib import Path

from buildcheck.app.build_check import CheckedBuild
from buildcheck.app.rule_context import RuleContext
from buildcheck.core.escape import one_line
from buildcheck.core.problem import Place, Problem
from buildcheck.output.finding_wording import Group, grouped, message
from buildcheck.output.loosened import Loosened, loosened_limits
from buildcheck.output.wording import finding_text, level_text
from buildcheck.record import Record, replace

INPUT = "input"
"""The rule id of what keeps data from being read or believed."""


class Annotation(Record):
    """One finding on one line of text: ``places`` count from the repository's top, ``data`` is what it is about.

    Build one with ``annotated``: its texts are then safe to print, names that are not UTF-8 included. ``paths`` are the
    files of the places as the file system has them, for formats that need them byte for byte.

    ``failed`` separates unreadable data and broken limits from what is only undecided, ``accepted`` what was conceded,
    ``review`` a loosened limit, which somebody must look at. ``due`` unless a later stage is the first to require it.
    """

    rule: str
    level: str
    message: str
    places: tuple[Place, ...]
    build: str
    data: str
    failed: bool = True
    accepted: bool = False
    review: bool = False
    due: bool = True
    paths: tuple[str, ...] = ()

    @property
    def concerns_ci(self) -> bool:
        """Whether a service for code review shows it: it blocks, it warns, or a limit was loosened."""
        return not self.accepted and self.due and (self.level != "note" or self.review)

    @property
    def fingerprint(self) -> str:
        """Names the finding by rule, build and data: lines may move and values change, it stays the same."""
        from hashlib import sha256

        return sha256("\0".join([self.rule, self.build, self.data]).encode("utf-8", "replace")).hexdigest()


def annotated(
    rule: str, level: str, message: str, places: Iterable[Place], build: str, data: str, **more: bool
) -> Annotation:
    """A finding with texts that are safe to print: this is the one place at which names and values are escaped."""
    found = tuple(places)
    safe = tuple(place._replace(file=one_line(place.file)) for place in found)
    paths = tuple(place.file for place in found)
    return Annotation(rule, level, one_line(message), safe, one_line(build), one_line(data), paths=paths, **more)


def findings_for(context: RuleContext, checked: CheckedBuild, together: bool = False) -> list[Annotation]:
    """What of a build cannot be read and what was found; ``together`` reports subjects alike once."""
    folder = from_top(context, checked.build.folder)
    results = [result for result in checked.unmet if result.is_finding]
    alone = (Group(result, (result.subject,), message(checked, result)) for result in results)
    groups = grouped(checked, results) if together else alone
    found = [*_unreadable(folder, checked.problems), *(_finding(folder, group) for group in groups)]
    return list(_numbered([*found, *(_loosened(folder, one) for one in loosened_limits(checked))]))


def input_annotations(context: RuleContext, problems: Iterable[Problem]) -> list[Annotation]:
    """What is wrong with the repository itself."""
    return list(_numbered(_unreadable(from_top(context, context.repository.root), problems)))


def _numbered(found: Iterable[Annotation]) -> Iterator[Annotation]:
    """The same, where several are about the same data each with its number."""
    times: Counter[tuple[str, str, str]] = Counter()
    for one in found:
        key = (one.rule, one.build, one.data)
        times[key] += 1
        yield replace(one, data=f"{one.data} {times[key]}") if times[key] > 1 else one


def from_top(context: RuleContext, folder: Path) -> str:
    """A folder as CI names it: from the top of the git repository, else from the folder used as one."""
    return Path(os.path.relpath(folder.resolve(), context.repository.root)).as_posix()


def _unreadable(folder: str, problems: Iterable[Problem]) -> Iterator[Annotation]:
    for problem in problems:
        data = f"{problem.place.file} {problem.path}"
        message = f"{problem.path}: {problem.message}" if problem.path else problem.message
        text = problem.place.qualify(folder, message)
        yield annotated(INPUT, "error", text, [problem.place.rebased_on(folder)], folder, data)


def _finding(folder: str, group: Group) -> Annotation:
    first = group.first
    return annotated(
        first.rule,
        level_text(first),
        first.place.qualify(folder, finding_text(group)),
        (place.rebased_on(folder) for place in first.places),
        folder,
        " ".join(subject.key for subject in group.subjects),
        failed=first.kind == "fail",
        accepted=first.concession is not None,
        due=first.due_now or first.blocks,
    )


def _loosened(folder: str, limit: Loosened) -> Annotation:
    """A limit that a team or a build has loosened: never an error, and never silent."""
    place = limit.place if limit.is_in_build else Place("build.yaml")
    text, data = f"limit loosened: {limit.text}", f"loosened {limit.side}"
    return annotated(limit.rule, "note", text, [place.rebased_on(folder)], folder, data, failed=False, review=True)
