"""``buildcheck report``: writes each build's report, or tells whether it is current."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from buildcheck.check import Checked
from buildcheck.files import read_regular, write_whole
from buildcheck.findings import Place, Problem
from buildcheck.formats.text import problem_line
from buildcheck.report.render import difference, render
from buildcheck.run import Run, shown
from buildcheck.run import run as run_check

_LONGEST = 4_000_000


def arguments(parser: argparse.ArgumentParser) -> None:
    """Options of ``report``."""
    parser.epilog = "example: buildcheck report engines/dunlin"
    parser.add_argument("paths", nargs="*", type=Path, metavar="PATH", help="build folders, or folders above them")
    parser.add_argument("--check", action="store_true", help="write nothing: tell whether each report is current")
    parser.add_argument("--tracked", action="store_true", help="count only files that git tracks; others are errors")


def run(options: argparse.Namespace) -> int:
    """Write or check; 0 when all is written or current, 1 when a report is not, 2 when inputs cannot be read."""
    done = run_check(options.paths or [Path()], tracked=options.tracked)
    for problem in done.problems:
        print(problem_line(problem, shown(done.frame.repository.root)))
    for checked in done.builds:
        for problem in checked.problems:
            print(problem_line(problem, checked.build.shown))
    codes = [_check(done, checked) if options.check else _write(done, checked) for checked in done.builds]
    return max([2 if done.problems else 0, *codes])


def _write(done: Run, checked: Checked) -> int:
    path = checked.build.folder / done.frame.repository.report_name
    write_whole(path, render(checked, done.frame))
    print(f"{checked.build.shown}/{path.name}: written", file=sys.stderr)
    return 2 if checked.problems else 0


def _check(done: Run, checked: Checked) -> int:
    path = checked.build.folder / done.frame.repository.report_name
    wrong = _wrong(render(checked, done.frame), path)
    if wrong:
        cure = f"{wrong}; run 'buildcheck report {checked.build.shown}'"
        print(problem_line(Problem(Place(path.name), "", cure), checked.build.shown, "report"))
    return 2 if checked.problems else int(bool(wrong))


def _wrong(fresh: str, path: Path) -> str:
    """What is wrong with the report on disk, empty where it is current."""
    try:
        return difference(fresh, read_regular(path, _LONGEST).decode("utf-8", "replace"))
    except FileNotFoundError:
        return "is missing"
    except (OSError, ValueError) as error:
        return f"cannot be read ({error.strerror if isinstance(error, OSError) else error})"
