"""Many builds that share one spring as a part, with a commit before and after it changes."""

from __future__ import annotations

import shutil
from pathlib import Path

from history import ROOT, commit, git, replace

PART = "parts/spring.yaml"
SPRING = """\
seat_force: 95 lbf
force_when_new: 98 lbf
rate: 265 lbf/in
other_load: {force: 214 lbf, height: 1.250 in}
coil_bind_height: 29.2 mm
wire: 0.177 in
coils: 6.5
ends: squared ground
"""
LOWER, LOWEST = "1.700 in +/- 0.001 in", "1.690 in +/- 0.001 in"


def write_builds(top: Path, count: int, red: int = 12) -> None:
    """Tags ``before`` and ``after``: the shared spring's coil-bind height grows by 0.15 mm.

    It makes the first build and every one at a multiple of ``red`` red, with springs installed so low.
    """
    git(top, "init", "--quiet", "--initial-branch=main")
    (top / "parts").mkdir()
    (top / PART).write_text(SPRING, encoding="utf-8")
    for number in range(count):
        _write_build(top / folder(number), LOWER if number % red else LOWEST)
    commit(top, "before")
    replace(top / PART, "coil_bind_height: 29.2 mm", "coil_bind_height: 29.35 mm")
    commit(top, "after")


def folder(number: int) -> str:
    """The build of that number."""
    return f"engines/e{number:03}"


def _write_build(build: Path, height: str) -> None:
    shutil.copytree(ROOT / "example_build", build, ignore=shutil.ignore_patterns("*.md", "marks"))
    text = (build / "heads.yaml").read_text(encoding="utf-8")
    head = text[: text.index("springs:")]
    own = f"{{uses: {PART}, installed_height: {height}}}"
    (build / "heads.yaml").write_text(f"{head}springs:\n  intake: {own}\n  exhaust: {own}\n", encoding="utf-8")
