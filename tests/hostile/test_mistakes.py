"""Mistakes made in garages and offices, one at a time in a good build: each is caught by the rule meant for it."""

from __future__ import annotations

from pathlib import Path

import pytest
from judged import as_it_is, copied, judged
from rewritten import judged_by

from buildcheck.app.build_check import CheckedBuild

LINES = (Path(__file__).parent / "mistakes.txt").read_text(encoding="utf-8").splitlines()
MISTAKES = [[part.strip() for part in line.split(" | ")] for line in LINES if not line.startswith("#")]


def complaints(found: CheckedBuild, rule: str) -> set[tuple[str, str]]:
    """Subject and kind of all that fails or is open by a rule; for ``input`` what is refused."""
    if rule == "input" or found.problems:
        return {(problem.path, "fail") for problem in found.problems if rule == "input"}
    return {(one.subject.key, one.kind) for one in judged_by(found, rule) if one.is_finding}


def test_there_are_over_sixty() -> None:
    assert len(MISTAKES) > 60
    assert len({rule for *_, rule in MISTAKES}) > 20


@pytest.mark.parametrize(("build", "file", "right", "wrong", "rule"), MISTAKES)
def test_a_mistake_is_caught(build: str, file: str, right: str, wrong: str, rule: str, tmp_path: Path) -> None:
    path = copied(build, tmp_path) / f"{file}.yaml"
    text = path.read_text(encoding="utf-8")
    assert right in text
    path.write_text(text.replace(right, wrong, 1), encoding="utf-8")
    assert complaints(judged(path.parent), rule) - complaints(as_it_is(build), rule)
