"""A build judged under the shipped rules, which are read once."""

from __future__ import annotations

import shutil
from functools import cache
from pathlib import Path

from buildcheck.app.build_check import CheckedBuild, check_build
from buildcheck.app.rule_context import RuleContext, rule_context_for
from buildcheck.build.build_folder import read_build

ROOT = Path(__file__).parent.parent.parent
BUILDS = (
    "example_build",
    *(f"tests/builds/{name}" for name in ("flat_four_solid", "inline_four_pad", "vee_eight_mm")),
)


@cache
def shipped() -> RuleContext:
    """The shipped rules, with no team's beside them."""
    return rule_context_for(ROOT / "example_build")


def judged(folder: Path) -> CheckedBuild:
    """A folder judged."""
    return check_build(read_build(folder, folder.name), shipped().rules, {})


@cache
def as_it_is(build: str) -> CheckedBuild:
    """A build of the repository, judged."""
    return judged(ROOT / build)


def copied(build: str, to: Path) -> Path:
    """A copy of a build of the repository."""
    return Path(shutil.copytree(ROOT / build, to / Path(build).name, ignore=shutil.ignore_patterns("REPORT*")))
