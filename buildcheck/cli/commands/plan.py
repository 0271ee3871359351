"""``buildcheck plan``: the bench sheet that leads through all valves of one build in two turns of the crank."""

from __future__ import annotations

import argparse
import sys
from importlib import import_module
from pathlib import Path

from buildcheck.advice.measuring_plan import MeasuringPlan, make_plan
from buildcheck.app.build_check import CheckedBuild
from buildcheck.app.run import only_build
from buildcheck.app.run import run as run_check
from buildcheck.core.escape import at_line_start
from buildcheck.core.files import real, write_whole
from buildcheck.core.problem import Place, Problem
from buildcheck.core.usage_error import UsageError
from buildcheck.core.value import Undecided
from buildcheck.output.plan.entry_template import EMPTY_FILE, FILE, UnsupportedLayoutError, insert_entries
from buildcheck.output.text import problem_line, problems
from buildcheck.output.wording import counted

FORMATS = ("html", "json", "markdown", "text")


def arguments(parser: argparse.ArgumentParser) -> None:
    """Options of ``plan``."""
    parser.epilog = "example: buildcheck plan engines/dunlin --into marks.yaml"
    parser.add_argument("build", type=Path, metavar="BUILD", help="the build folder")
    parser.add_argument("--left", action="store_true", help="only valves without a reading in marks.yaml")
    parser.add_argument(
        "--format", choices=sorted(FORMATS), default="markdown", help="output format (default: markdown; html to print)"
    )
    parser.add_argument("--into", metavar=FILE, help="add entries to fill in, as comments; existing content is kept")


def run(args: argparse.Namespace) -> int:
    """Print the plan or lay it out; 0, or 2 where the build does not show where the base circles are."""
    done = run_check([args.build])
    if unreadable := problems(done):
        sys.stdout.write(unreadable)
        return 2
    checked = only_build(done, "a plan", args.build)
    try:
        plan = make_plan(checked.facts, args.left)
    except Undecided as reason:
        place = next(iter(reason.places), Place("build.yaml"))
        problem = Problem(place, "", f"the measuring plan needs it: {reason.reason}")
        print(problem_line(problem, checked.build.display_path, "plan"))
        return 2
    if args.into is None:
        sys.stdout.write(import_module(f"buildcheck.output.plan.plan_{args.format}").write(checked, plan))
    else:
        _into(_marks(checked, args.into), plan)
    return 0


def _marks(checked: CheckedBuild, into: str) -> Path:
    own = checked.build.folder / FILE
    if into != FILE and real(Path(into)) != real(own):
        raise UsageError(f"entries are laid out in {own}, not in {into}")
    return real(own)


def _into(path: Path, plan: MeasuringPlan) -> None:
    text = path.read_bytes().decode() if path.exists() else EMPTY_FILE
    try:
        made, added = insert_entries(text, plan)
    except UnsupportedLayoutError as error:
        raise UsageError(str(error)) from error
    if added:
        write_whole(path, made)
    there = len(plan.valves) - len(added)
    print(
        f"{at_line_start(path.name)}: {counted(len(added), 'valve')} laid out, {there} already there", file=sys.stderr
    )
