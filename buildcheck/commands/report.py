"""``buildcheck report``: writes each build's report, or tells whether it is current."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from buildcheck.check import Checked
from buildcheck.files import read_regular, write_whole
from buildcheck.findings import Place, Problem
from buildcheck.formats.text import problem_line
from buildcheck.git import UsageError
from buildcheck.report.pictures import FOLDER, Picture, pictures
from buildcheck.report.render import difference, render
from buildcheck.run import Run, shown
from buildcheck.run import run as run_check

_LONGEST = 4_000_000


def arguments(parser: argparse.ArgumentParser) -> None:
    """Options of ``report``."""
    parser.epilog = "example: buildcheck report engines/dunlin"
    parser.add_argument("paths", nargs="*", type=Path, metavar="PATH", help="build folders, or folders above them")
    parser.add_argument(
        "--pictures",
        action="store_true",
        help=f"draw each mark, in {FOLDER}/ beside the report; kept current from then on, until {FOLDER}/ is deleted",
    )
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
    codes = [
        _check(done, checked) if options.check else _write(done, checked, options.pictures) for checked in done.builds
    ]
    return max([2 if done.problems else 0, *codes])


def _write(done: Run, checked: Checked, asked: bool) -> int:
    path, drawn = checked.build.folder / done.frame.repository.report_name, _pictures(checked, asked)
    for picture in drawn:
        (path.parent / FOLDER).mkdir(exist_ok=True)
        write_whole(path.parent / picture.path, picture.svg)
    write_whole(path, render(checked, done.frame, drawn))
    print(f"{checked.build.shown}/{path.name}: written", file=sys.stderr)
    return 2 if checked.problems else 0


def _check(done: Run, checked: Checked) -> int:
    path, drawn = checked.build.folder / done.frame.repository.report_name, _pictures(checked)
    wrong = [(path.name, _wrong(render(checked, done.frame, drawn), path))]
    wrong += [(picture.path, _wrong(picture.svg, path.parent / picture.path)) for picture in drawn]
    for name, what in wrong:
        if what:
            cure = f"{what}; run 'buildcheck report {checked.build.shown}'"
            print(problem_line(Problem(Place(name), "", cure), checked.build.shown, "report"))
    return 2 if checked.problems else int(any(what for _, what in wrong))


def _pictures(checked: Checked, asked: bool = False) -> list[Picture]:
    """The pictures, where they are asked for or were drawn before; never through a link to another folder."""
    folder = checked.build.folder / FOLDER
    if folder.is_symlink() and (asked or folder.is_dir()):
        raise UsageError(f"{checked.build.shown}/{FOLDER} is a link: pictures are drawn beside the report only")
    return pictures(checked) if asked or any(folder.glob("*.svg")) else []


def _wrong(fresh: str, path: Path) -> str:
    """What is wrong with the report on disk, empty where it is current."""
    try:
        return difference(fresh, read_regular(path, _LONGEST).decode("utf-8", "replace"))
    except FileNotFoundError:
        return "is missing"
    except (OSError, ValueError) as error:
        return f"cannot be read ({error.strerror if isinstance(error, OSError) else error})"
