"""Mistakes made in garages and offices, one at a time in a good build: each is caught by the rule meant for it."""

from __future__ import annotations

from pathlib import Path

import pytest
from judged import as_it_is, copied, judged

from buildcheck.app.build_check import CheckedBuild

LINES = (Path(__file__).parent / "mistakes.txt").read_text(encoding="utf-8").splitlines()
MISTAKES = [[part.strip() for part in line.split(" | ")] for line in LINES if not line.startswith("#")]


def complaints(found: CheckedBuild) -> set[tuple[str, str, str]]:
    """Rule, subject and kind of all that fails or is open; ``input`` where a file is refused."""
    if found.problems:
        return {("input", problem.path, "fail") for problem in found.problems}
    result = (one for one in found.results if one.kind in ("fail", "open") and not one.waits)
    return {(one.rule, one.subject.key, one.kind) for one in result}


def test_there_are_over_sixty() -> None:
    assert len(MISTAKES) > 60
    assert len({rule for *_, rule in MISTAKES}) > 20


@pytest.mark.parametrize(("build", "file", "right", "wrong", "rule"), MISTAKES)
def test_a_mistake_is_caught(build: str, file: str, right: str, wrong: str, rule: str, tmp_path: Path) -> None:
    path = copied(build, tmp_path) / f"{file}.yaml"
    text = path.read_text(encoding="utf-8")
    assert right in text
    path.write_text(text.replace(right, wrong, 1), encoding="utf-8")
    new = complaints(judged(path.parent)) - complaints(as_it_is(build))
    assert rule in {result for result, _, _ in new}, sorted(new)
