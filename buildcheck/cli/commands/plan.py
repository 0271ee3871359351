"""``buildcheck plan``: the bench sheet that leads through all valves of one build in two turns of the crank."""

from __future__ import annotations

import argparse
import sys
from importlib import import_module
from pathlib import Path

from buildcheck.advice.measuring_plan import Sheet, lay_out
from buildcheck.app.build_check import Checked
from buildcheck.app.run import only_build
from buildcheck.app.run import run as run_check
from buildcheck.core.escape import at_line_start
from buildcheck.core.files import real, write_whole
from buildcheck.core.problem import Place, Problem
from buildcheck.core.usage_error import UsageError
from buildcheck.core.value import Undecided
from buildcheck.output.plan.entry_template import EMPTY, FILE, NoRoomError, laid_out
from buildcheck.output.text import problem_line, problems
from buildcheck.output.wording import counted

FORMATS = ("json", "markdown", "text")


def arguments(parser: argparse.ArgumentParser) -> None:
    """Options of ``plan``."""
    parser.epilog = "example: buildcheck plan engines/dunlin --into marks.yaml"
    parser.add_argument("build", type=Path, metavar="BUILD", help="the build folder")
    parser.add_argument("--left", action="store_true", help="only valves without a reading in marks.yaml")
    parser.add_argument(
        "--format", choices=sorted(FORMATS), default="markdown", help="output format (default: markdown, to print)"
    )
    parser.add_argument("--into", metavar=FILE, help="add entries to fill in, as comments; existing content is kept")


def run(options: argparse.Namespace) -> int:
    """Print the plan or lay it out; 0, or 2 where the build does not tell where the heels are."""
    done = run_check([options.build])
    if unreadable := problems(done):
        sys.stdout.write(unreadable)
        return 2
    checked = only_build(done, "a plan", options.build)
    try:
        sheet = lay_out(checked.facts, options.left)
    except Undecided as reason:
        place = next(iter(reason.places), Place("build.yaml"))
        told = Problem(place, "", f"the measuring plan needs it: {reason.reason}")
        print(problem_line(told, checked.build.shown, "plan"))
        return 2
    if options.into is None:
        sys.stdout.write(import_module(f"buildcheck.output.plan.plan_{options.format}").write(checked, sheet))
    else:
        _into(_marks(checked, options.into), sheet)
    return 0


def _marks(checked: Checked, into: str) -> Path:
    own = checked.build.folder / FILE
    if into != FILE and real(Path(into)) != real(own):
        raise UsageError(f"entries are laid out in {own}, not in {into}")
    return real(own)


def _into(path: Path, sheet: Sheet) -> None:
    text = path.read_bytes().decode() if path.exists() else EMPTY
    try:
        made, added = laid_out(text, sheet)
    except NoRoomError as error:
        raise UsageError(str(error)) from error
    if added:
        write_whole(path, made)
    there = len(sheet.valves) - len(added)
    print(
        f"{at_line_start(path.name)}: {counted(len(added), 'valve')} laid out, {there} already there", file=sys.stderr
    )
