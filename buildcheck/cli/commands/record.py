"""``buildcheck record``: enters a reading as it is taken and shows in one line what it means and what to do next."""

from __future__ import annotations

import argparse
import difflib
import sys
from collections.abc import Callable
from datetime import date
from pathlib import Path

from buildcheck.app.build_check import CheckedBuild
from buildcheck.app.recording import ChangedMeanwhileError, Recorded, RefusedError, record
from buildcheck.app.run import only_build
from buildcheck.app.run import run as run_check
from buildcheck.build.new_reading import CLEARANCES, MARKS, NewClearance, NewTrial, VoidTrial, number_of_trials
from buildcheck.cli.typed_reading import Typed, UnusableError, readings, subject_of
from buildcheck.core.escape import at_line_start, one_line
from buildcheck.core.problem import Place
from buildcheck.output.record_wording import clearance_answer, trial_answer
from buildcheck.output.text import problem_line, problems
from buildcheck.yamlio.insertion import UnsupportedLayoutError

LOST = (RefusedError, ChangedMeanwhileError, UnsupportedLayoutError, OSError, UnusableError)
"""Why a reading is not written: then it is printed, so that it is not lost."""

MEASURED = (
    ("length", "LENGTH", "gauge reading of the checking pushrod"),
    ("turns", "TURNS", "turns of the checking pushrod, such as 9.25 or 9 1/4"),
    ("mark", "FROM-TO", "both edges of the mark, such as .151-.182"),
    ("lines", "CLOSED,OPEN", "contact lines with the valve closed and at full lift"),
    ("shim", "LENGTH", "shim under the pedestal or stand in this trial"),
)
"""Options for what is read off a gauge: name, placeholder, help. They may come in several words, such as 9 1/4."""


def arguments(parser: argparse.ArgumentParser) -> None:
    """Options of ``record``."""
    parser.epilog = (
        "example: buildcheck record engines/dunlin 3/exhaust --turns 9.25 --mark .151-.182 --lines .157,.158"
    )
    parser.add_argument("build", type=Path, metavar="BUILD", help="the build folder")
    parser.add_argument("valve", metavar="CYLINDER/VALVE", help="the valve, such as 3/exhaust")
    for name, metavar, purpose in MEASURED:
        parser.add_argument(f"--{name}", nargs="+", default=[], metavar=metavar, help=purpose)
    parser.add_argument("--feel", choices=("slack", "tight"), help="clearance still felt, or none left")
    parser.add_argument("--checker", metavar="NAME", help="name of the checking pushrod, if there are several")
    parser.add_argument("--crank", metavar="ANGLE", help="crank angle at zero lash, for a valve's first trial")
    parser.add_argument("--void", nargs=2, metavar=("TRIAL", "REASON"), help="a trial that does not count, and why")
    parser.add_argument(
        "--clearance", action="append", default=[], metavar="NAME=LENGTH",
        help="a clearance, such as piston_to_valve=0.135; can be repeated",
    )  # fmt: skip
    parser.add_argument("--type", action="store_true", help="the clearance applies to all valves of this type")
    parser.add_argument("--by", metavar="INITIALS", help="who took the reading")
    parser.add_argument("--on", metavar="DATE", help="the day of the reading (default: today)")
    parser.add_argument("--note", metavar="TEXT", help="a remark on the trial")
    parser.add_argument("--dry-run", action="store_true", help="show the change as a diff; write nothing")


def run(args: argparse.Namespace) -> int:
    """Write the reading and print the answer; 0, or 2 if it cannot be written."""
    typed = Typed(subject_of(args.valve), vars(args))
    done = run_check([args.build])
    if unreadable := problems(done):
        sys.stdout.write(unreadable)
        _print_lost(typed.text)
        return 2
    checked = only_build(done, "a reading", args.build)
    try:
        found = readings(typed, checked.facts, _today)
        return _write(checked, found, args.dry_run)
    except LOST as error:
        _print_reason(error, checked)
        _print_lost(typed.text)
        return 2


def _today() -> str:
    return date.today().isoformat()


Reading = NewTrial | VoidTrial | NewClearance


def _write(checked: CheckedBuild, found: list[Reading], dry_run: bool) -> int:
    file = CLEARANCES if isinstance(found[0], NewClearance) else MARKS
    recorded = record(checked.build.folder, file, _all_of(found), write=not dry_run)
    if dry_run:
        sys.stdout.write(_diff(recorded))
        return 0
    for reading in found:
        print(_answer(recorded, reading, file))
    return 0


def _all_of(found: list[Reading]) -> Callable[[str], str]:
    def edit(text: str) -> str:
        for reading in found:
            text = reading.edit(text)
        return text

    return edit


def _answer(recorded: Recorded, reading: Reading, file: str) -> str:
    checked, subject = recorded.checked, reading.subject
    match reading:
        case NewClearance(_, name, length):
            what = f"{subject.text}, {name} {length}: {clearance_answer(checked, subject, name)}"
        case VoidTrial(_, number, _):
            what = f"{subject.text}, trial {number} is void: {trial_answer(checked, subject)}"
        case NewTrial():
            what = (
                f"{subject.text}, trial {number_of_trials(recorded.after, subject)}: {trial_answer(checked, subject)}"
            )
    place = Place(file, _changed_line(recorded)).rebased_on(checked.build.display_path)
    return f"{at_line_start(f'{place.file}:{place.line}')}: {one_line(what)}"


def _changed_line(recorded: Recorded) -> int:
    """The line at which the first change begins, from 1."""
    old, new = recorded.before.splitlines(), recorded.after.splitlines()
    same = next(
        (n for n, (one, other) in enumerate(zip(old, new, strict=False)) if one != other), min(len(old), len(new))
    )
    return same + 1


def _diff(recorded: Recorded) -> str:
    name = recorded.path.name
    lines = difflib.unified_diff(
        recorded.before.splitlines(), recorded.after.splitlines(), name, f"{name} (not written)", lineterm="", n=1
    )
    return "".join(f"{one_line(line)}\n" for line in lines)


def _print_reason(error: Exception, checked: CheckedBuild) -> None:
    if isinstance(error, RefusedError):
        for problem in error.problems:
            print(problem_line(problem, checked.build.display_path))
    elif isinstance(error, OSError):
        print(f"buildcheck: {one_line(str(error.filename or 'output'))}: {error.strerror or error}", file=sys.stderr)
    else:
        print(f"buildcheck: {one_line(str(error))}", file=sys.stderr)


def _print_lost(text: str) -> None:
    print(f"Nothing was written. You entered: {one_line(text)}", file=sys.stderr)
