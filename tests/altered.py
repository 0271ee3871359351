"""A build of the repository with a few words changed: its facts alone, or judged, under rules that are read once."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from rewritten import ROOT, Edit, copied

from buildcheck.app.build_check import CheckedBuild, check_build
from buildcheck.app.rule_context import RuleContext, rule_context_for
from buildcheck.build.build_folder import Build, read_build
from buildcheck.build.facts import Facts
from buildcheck.registry.quantity_table import QUANTITIES

SIX, EIGHT, FLAT, PAD_TIP, CLOSED = (
    "example_build", "tests/builds/vee_eight_mm", "tests/builds/flat_four_solid", "tests/builds/inline_four_pad",
    "tests/builds/inline_six_closed",
)  # fmt: skip


@cache
def shipped() -> RuleContext:
    """The rules as shipped, without a team's."""
    return rule_context_for(ROOT / SIX)


@cache
def as_it_is(folder: str) -> CheckedBuild:
    """The build as it lies in the repository, judged."""
    return check_build(read_build(ROOT / folder, folder), shipped().rules, {})


def facts(to: Path, folder: str, *edits: Edit) -> Facts:
    """What is known of the changed build, under the limits of the unchanged one."""
    return Facts(_read(to, folder, *edits), QUANTITIES, as_it_is(folder).facts.limit)


def facts_in(folder: Path, like: str) -> Facts:
    """What is known of a build laid out in a folder, under the limits of one of the repository's."""
    return Facts(read_build(folder, folder.name), QUANTITIES, as_it_is(like).facts.limit)


def altered(to: Path, folder: str, *edits: Edit, stage: str | None = None) -> CheckedBuild:
    """The changed build judged."""
    return check_build(_read(to, folder, *edits), shipped().rules, {}, stage)


def _read(to: Path, folder: str, *edits: Edit) -> Build:
    build = read_build(copied(to, folder, *edits), folder)
    assert build.problems == (), build.problems
    return build
