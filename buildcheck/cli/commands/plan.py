"""``buildcheck plan``: the bench sheet that leads through all valves of one build in two turns of the crank."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Sized
from importlib import import_module
from pathlib import Path

from buildcheck.advice.measuring_plan import MeasuringPlan, make_plan
from buildcheck.advice.motion_plan import motion_stops
from buildcheck.app.build_check import CheckedBuild
from buildcheck.build.new_reading import MOTION
from buildcheck.cli.build_arguments import add_build
from buildcheck.cli.one_build import readable_build
from buildcheck.core.escape import at_line_start
from buildcheck.core.files import real, write_whole
from buildcheck.core.plural import counted
from buildcheck.core.problem import Place, Problem
from buildcheck.core.subject import VALVE_TYPES
from buildcheck.core.usage_error import UsageError
from buildcheck.core.value import Undecided
from buildcheck.output.plan.entry_template import EMPTY_FILE, FILE, insert_entries
from buildcheck.output.plan.motion_template import insert_readings
from buildcheck.output.text import problem_line
from buildcheck.yamlio.insertion import UnsupportedLayoutError

FORMATS = ("html", "json", "markdown", "text")


def arguments(parser: argparse.ArgumentParser) -> None:
    """Options of ``plan``."""
    parser.epilog = "example: buildcheck plan engines/dunlin --into marks.yaml"
    add_build(parser)
    parser.add_argument("--left", action="store_true", help="only valves without a reading in marks.yaml")
    parser.add_argument(
        "--format", choices=sorted(FORMATS), default="markdown", help="output format (default: markdown; html to print)"
    )
    parser.add_argument(
        "--into", metavar="FILE",
        help=f"add entries to fill in, as comments, to {FILE} or {MOTION}; existing content is kept",
    )  # fmt: skip


def run(args: argparse.Namespace) -> int:
    """Print the plan or lay it out; 0, or 2 where the build does not show where the base circles are."""
    if (checked := readable_build(args.build, "a plan")) is None:
        return 2
    try:
        plan = make_plan(checked.facts, args.left)
    except Undecided as reason:
        place = next(iter(reason.places), Place("build.yaml"))
        problem = Problem(place, "", f"the measuring plan needs it: {reason.reason}")
        print(problem_line(problem, checked.build.display_path, "plan"))
        return 2
    if args.into is None:
        sys.stdout.write(import_module(f"buildcheck.output.plan.plan_{args.format}").write(checked, plan))
    elif _file(checked, args.into) == MOTION:
        _readings_into(checked)
    else:
        _entries_into(checked, plan)
    return 0


def _file(checked: CheckedBuild, into: str) -> str:
    """Which file of the build is meant, by its name or its path."""
    for name in (FILE, MOTION):
        if into == name or real(Path(into)) == real(checked.build.folder / name):
            return name
    raise UsageError(f"entries are laid out in {checked.build.folder / FILE} or its {MOTION}, not in {into}")


def _entries_into(checked: CheckedBuild, plan: MeasuringPlan) -> None:
    added = _laid_out(checked, FILE, EMPTY_FILE, lambda text: insert_entries(text, plan))
    _print_laid_out(FILE, added, len(plan.valves) - added)


def _readings_into(checked: CheckedBuild) -> None:
    stops = [stop for stop in motion_stops(checked.facts, without_file=True) if not stop.is_started]
    added = _laid_out(checked, MOTION, "", lambda text: insert_readings(text, stops))
    _print_laid_out(MOTION, added, len(VALVE_TYPES) - added)


def _laid_out(checked: CheckedBuild, name: str, empty: str, lay_out: Callable[[str], tuple[str, Sized]]) -> int:
    """Write the file with entries to be filled in; how many were added."""
    path = real(checked.build.folder / name)
    text = path.read_bytes().decode() if path.exists() else empty
    try:
        made, added = lay_out(text)
    except UnsupportedLayoutError as error:
        raise UsageError(str(error)) from error
    if added:
        write_whole(path, made)
    return len(added)


def _print_laid_out(name: str, added: int, there: int) -> None:
    print(f"{at_line_start(name)}: {counted(added, 'valve')} laid out, {there} already there", file=sys.stderr)
