"""A whole build copied, its files rewritten in a few places, and checked."""

from __future__ import annotations

import shutil
from functools import cache
from pathlib import Path
from typing import Any

from buildcheck.app.build_check import CheckedBuild, judge_subjects
from buildcheck.app.run import run
from buildcheck.output.finding_wording import message
from buildcheck.rules.concessions import IDLE
from buildcheck.rules.results import Result

ROOT = Path(__file__).parent.parent
Edit = tuple[str, str, str]
"""File, text to be replaced, and by what; an empty text is written behind the file's end, or into a new file."""


@cache
def as_it_is(folder: str, stage: str | None = None) -> CheckedBuild:
    """A build of the repository, checked once for all tests."""
    return run([ROOT / folder], stage).builds[0]


def copied(to: Path, folder: str, *edits: Edit) -> Path:
    """A copy of a build with each edit made once."""
    shutil.copytree(ROOT / folder, to / "build", copy_function=shutil.copyfile)
    for name, old, new in edits:
        file = to / "build" / name
        text = file.read_text(encoding="utf-8") if file.exists() else ""
        assert old in text, f"{name} does not say {old!r}"
        file.write_text(text.replace(old, new, 1) if old else text + new, encoding="utf-8")
    return to / "build"


def rewritten(to: Path, folder: str, *edits: Edit, stage: str | None = None) -> CheckedBuild:
    """A copy of a build with each edit made once, checked; the same edits are checked once for all tests."""
    if (key := (folder, edits, stage)) not in _rewritten:
        _rewritten[key] = run([copied(to, folder, *edits)], stage).builds[0]
    return _rewritten[key]


_rewritten: dict[tuple[str, tuple[Edit, ...], str | None], CheckedBuild] = {}


class Worded:
    """A result of a build, with its message in words."""

    def __init__(self, found: CheckedBuild, result: Result) -> None:
        self.result = result
        self.message = message(found, result)

    def __getattr__(self, name: str) -> Any:
        return getattr(self.result, name)


def judged_by(found: CheckedBuild, rule: str) -> list[Result]:
    """The results of one rule, judged alone in a tenth of the time that all rules take.

    All are judged if they are known already, or if concessions or an acceptance may change what one rule found.
    """
    alone = not (found.problems or found.acceptance or "concessions" in found.build.roots)
    if "results" in vars(found) or not alone or rule in found.rules.that_need(IDLE):
        return [one for one in found.results if one.rule == rule]
    return list(judge_subjects(found.rules[rule], found.limits, found.facts, found.options))


def results(found: CheckedBuild, rule: str, valve: str | None = None) -> list[Worded]:
    """The results of a rule that applies, of one valve type or of all."""
    own = [one for one in judged_by(found, rule) if one.kind != "notApplicable"]
    return [Worded(found, one) for one in own if valve is None or one.subject.valve == valve]


def kinds(found: CheckedBuild, rule: str, valve: str | None = None) -> set[str]:
    """How a rule ends where it applies."""
    return {one.kind for one in results(found, rule, valve)}
