"""What DEVELOPERS.md says of adding a rule, a quantity, a field or a format is enough: done in a copy, tests pass."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
pytestmark = pytest.mark.slow

RULE = """\
# yaml-language-server: $schema=../../schemas/rule.schema.json
id: open-force-ceiling
title: Spring force at full lift, most that a stem takes
for_each: valve_type
quantity: spring_force_open
at_most: 2000 lbf
level: warning
due: ordering
open: allowed
why: More force than that stretches the stem.
fix: Fit a softer spring.
source: common practice, no published source
examples:
  - {given: {spring_force_open: 300 lbf}, gives: pass}
  - {given: {spring_force_open: 3000 lbf}, gives: fail}
  - {given: {}, gives: open}
"""
LIMIT = '    "open-force-ceiling": ("warning", "ordering", "allowed", {"at_most": "2000 lbf"}),\n'
FORMULA = '''

def force_sum(first: float, second: float) -> float:
    """Force of two springs of one valve together.

    Args: first, second: the springs' forces (N). Returns: their sum (N). Valid for forces along one axis.
    Source: equilibrium of forces along the valve, derived here.

    >>> force_sum(100.0, 50.0)
    150.0
    """
    return first + second
'''
QUANTITY = '''

def spring_force_both(facts: Facts, subject: Subject) -> Value:
    """Force of both springs of a cylinder with the valves open, N."""
    each = [facts.get("spring_force_open", Subject(None, valve)) for valve in ("intake", "exhaust")]
    return derive("force", springs.force_sum, *each)
'''
TABLE = '        "spring_force_both": Quantity("build", "force", valvetrain.spring_force_both, "Both springs"),\n'
FIELD = (
    '    "trunnion_bore": {\n      "title": "Trunnion bore", "description": "Bore of the rocker for its trunnion.", '
    '"type": "string",\n      "format": "length", "x-plausible": ["0.1 in", "3 in"],\n      '
    '"x-uncertainty": "0.010 in"\n    },\n'
)
RANGE = "rockers/properties/trunnion_bore: 0.1 in to 3 in\n"
FORMAT = '''"""Messages alone, one a line."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from buildcheck.app.build_check import CheckedBuild
from buildcheck.app.rule_context import RuleContext
from buildcheck.core.problem import Problem
from buildcheck.output.annotation import findings_for, input_annotations


def render_build(context: RuleContext, checked: CheckedBuild) -> list[str]:
    """The messages of a build's findings."""
    return [one.message for one in findings_for(context, checked)]


def render_document(context: RuleContext, problems: Sequence[Problem], builds: Iterable[list[str]]) -> Iterator[str]:
    """Problems of the repository first, then each build's findings."""
    yield from (f"{one.message}\\n" for one in input_annotations(context, problems))
    yield from (f"{message}\\n" for messages in builds for message in messages)
'''


def insert(top: Path, file: str, before: str, text: str) -> None:
    """Put a text into a file in front of the first place that reads like ``before``; at the end if that is empty."""
    path = top / file
    whole = path.read_text(encoding="utf-8")
    assert before in whole, f"{file} has no {before!r}"
    at = whole.index(before) if before else len(whole)
    path.write_text(whole[:at] + text + whole[at:], encoding="utf-8")


@pytest.fixture
def copy(tmp_path: Path) -> Path:
    """The checkout's files as they are at hand, with their times and what is compiled of them."""
    listed = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, text=True, check=True).stdout
    for name in filter(None, listed.split("\0")):
        if (ROOT / name).is_file():
            (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copy2(ROOT / name, tmp_path / name)
    for compiled in (*ROOT.glob("buildcheck/**/__pycache__"), *ROOT.glob("tests/**/__pycache__")):
        shutil.copytree(compiled, tmp_path / compiled.relative_to(ROOT))
    return tmp_path


def done(copy: Path, *words: str) -> subprocess.CompletedProcess[str]:
    environment = {**os.environ, "PYTHONPATH": str(copy)}
    return subprocess.run(
        [sys.executable, "-m", *words], cwd=copy, env=environment, capture_output=True, text=True, check=False
    )


def write_reports(copy: Path) -> None:
    """All reports of the repository, as DEVELOPERS.md gives the command."""
    assert done(copy, "buildcheck", "report", "example_build", "tests/builds").returncode == 0


def write_pages(copy: Path) -> None:
    """The reference, as DEVELOPERS.md gives the command."""
    assert done(copy, "buildcheck", "explain", "--pages", "docs/reference").returncode == 0


def failures(copy: Path, *tests: str) -> str:
    """The end of the tests' output if any fails, empty if all pass."""
    ended = done(copy, "pytest", "-q", "-n0", "--tb=short", "--assert=plain", "-p", "no:cacheprovider", *tests)
    return "" if ended.returncode == 0 else ended.stdout[-60000:] + ended.stderr[-1000:]


MISSING = {
    "the table of limits": "LIMITS in tests/test_rules_shipped.py",
    "pages": "buildcheck explain --pages docs/reference",
    "reports": "buildcheck report example_build tests/builds",
    "range": "tests/schema_ranges.txt",
    "starter": "buildcheck/cli/starter/rockers.yaml",
    "example": "tests/schema_examples",
    "kept": "buildcheck/output/explain/explain_field.py",
}
"""What the messages of failing tests name after the first step of each recipe."""
TESTS = [
    "tests/test_rules_shipped.py",
    "tests/test_reference.py::test_no_page_is_stale",
    "tests/test_report_golden.py::test_the_reports_in_the_repository_are_current",
    "tests/test_schemas.py::test_ranges_and_needs_are_those_agreed",
    "tests/test_start.py::test_every_field_is_shown[rockers]",
    "tests/test_schemas_examples.py::test_between_them_they_use_every_field",
    "tests/test_explain.py::test_a_field_of_which_nothing_is_computed_says_so",
    "-k",
    "rules_shipped or missing or current or stale or agreed or field or springs or module",
]
"""The tests that fail if a step of a recipe is missing."""
SHOWN = [
    ("docs/reference/rules/open-force-ceiling.md", "open-force-ceiling"),
    ("docs/reference/quantities.md", "spring_force_both"),
    ("docs/reference/fields.md", "trunnion_bore"),
    ("example_build/REPORT.md", "open-force-ceiling"),
    ("example_build/REPORT.md", "spring_force_both"),
]
"""Page or report, and what the recipes for a rule, a quantity and a field bring into it."""


def test_add_a_rule_a_quantity_a_field_and_a_format(copy: Path) -> None:
    (copy / "rules" / "springs" / "open-force-ceiling.yaml").write_text(RULE, encoding="utf-8")
    insert(copy, "buildcheck/formulas/springs.py", "", FORMULA)
    insert(copy, "buildcheck/quantities/valvetrain.py", "", QUANTITY)
    insert(copy, "buildcheck/registry/quantity_table.py", '        "spring_force_open": ', TABLE)
    insert(copy, "schemas/rockers.schema.json", '    "ratio": {', FIELD)
    missing = failures(copy, *TESTS)
    assert {step for step, message in MISSING.items() if message not in missing} == set()

    insert(copy, "tests/test_rules_shipped.py", '    "parts-consistent": (', LIMIT)
    insert(copy, "tests/schema_ranges.txt", "", RANGE)
    insert(copy, "buildcheck/cli/starter/rockers.yaml", "", "#trunnion_bore: 0.750 in             # of the rocker\n")
    insert(copy, "tests/schema_examples/rockers.yaml", "", "trunnion_bore: 0.750 in\n")
    insert(copy, "buildcheck/output/explain/explain_field.py", '".because"', '".trunnion_bore", ')
    (copy / "buildcheck" / "output" / "plain.py").write_text(FORMAT, encoding="utf-8")
    insert(copy, "buildcheck/cli/commands/check.py", '    "github": ', '    "plain": "one message a line",\n')
    write_pages(copy)
    write_reports(copy)
    assert [text for page, text in SHOWN if text not in (copy / page).read_text(encoding="utf-8")] == []
    assert failures(copy, "buildcheck/formulas/springs.py", "tests/formats/test_check_formats.py", *TESTS) == ""
    explained = done(copy, "buildcheck", "explain", "spring_force_both", "example_build")
    assert (explained.returncode, "force_sum" in explained.stdout) == (0, True)
    ended = done(copy, "buildcheck", "check", "example_build", "--format", "plain")
    assert (ended.returncode, ended.stderr) == (0, "")
    assert ended.stdout.count("\n") > 3
