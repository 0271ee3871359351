"""``buildcheck report``: writes each build's report or the overview of all, or checks whether they are current."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Container, Iterable
from datetime import date
from pathlib import Path

from buildcheck.app.acceptance import record_of
from buildcheck.app.run import NOTHING_STAGED, STAGED_HELP, Run, RunPlan, display_path, only_build, plan_run
from buildcheck.build.acceptance_record import RECORD, record_text
from buildcheck.cli.build_arguments import add_paths
from buildcheck.core.escape import at_line_start, one_line
from buildcheck.core.files import read_regular, write_whole
from buildcheck.core.problem import Place, Problem
from buildcheck.core.usage_error import UsageError
from buildcheck.output.report.freshness import is_own
from buildcheck.output.report.picture import FOLDER
from buildcheck.output.report.report_files import Sheet, index_sheet, report_sheets
from buildcheck.output.supplier_order import labels, refusal, supplier_order
from buildcheck.output.text import problem_line
from buildcheck.output.wording import outcome_text
from buildcheck.record import replace
from buildcheck.repo.merge_attributes import ATTRIBUTES, attributes_text, folders_without_driver
from buildcheck.repo.repository import Repository, repository_of

_LONGEST = 4_000_000
FOREIGN = "was not written by buildcheck and is not overwritten: move it, or name another file in buildcheck.yaml"


def arguments(parser: argparse.ArgumentParser) -> None:
    """Options of ``report``."""
    parser.epilog = "example: buildcheck report engines/dunlin"
    add_paths(parser)
    parser.add_argument(
        "--pictures",
        action="store_true",
        help=f"draw the lengths and each mark, in {FOLDER}/ beside the report; kept current until {FOLDER}/ is deleted",
    )
    parser.add_argument("--check", action="store_true", help="write nothing: check that each report is current")
    parser.add_argument(
        "--update", action="store_true", help="write the reports that are not current; exit 1 if any was"
    )
    parser.add_argument(
        "--index", action="store_true", help="write the overview of all builds of the repository instead"
    )
    parser.add_argument(
        "--order", action="store_true", help="print the order of one build as a text for the supplier; write nothing"
    )
    parser.add_argument(
        "--labels", action="store_true", help="print a label for each valve if lengths differ; write nothing"
    )
    parser.add_argument(
        "--accept", action="store_true",
        help="also record that each build is accepted as it is, if nothing blocks: later rules then inform",
    )  # fmt: skip
    parser.add_argument("--tracked", action="store_true", help="count only files that git tracks; others are errors")
    parser.add_argument("--touched", action="store_true", help=STAGED_HELP)


def run(args: argparse.Namespace) -> int:
    """Write or check; 0 when all is written or current, 1 when a report is not, 2 when inputs cannot be read."""
    if args.order or args.labels:
        return _print_order(args)
    if args.check and args.update:
        raise UsageError("--check writes nothing: leave --update out")
    if args.accept and not _accept(args):
        return 1
    planned = _planned(args)
    if planned.is_idle:
        print(f"buildcheck: {NOTHING_STAGED}", file=sys.stderr)
    done = planned.run()
    unreadable = _print_problems(done)
    sheets = index_sheet(done) if args.index else report_sheets(done, args.pictures, args.check or args.update)
    if args.check:
        stale = [_check(sheet, planned.files) for sheet in sheets]
        return 2 if unreadable else int(any(stale))
    if args.update:
        return _update(list(sheets), planned, unreadable)
    written = _write_all(sheets, planned.context.repository)
    return 2 if unreadable or not written else 0


def _accept(args: argparse.Namespace) -> bool:
    """Write the record of each build that nothing blocks; whether there was no other."""
    if unsuitable := [name for name in ("check", "update", "index", "touched") if getattr(args, name)]:
        raise UsageError(f"--accept records builds as they are: leave --{unsuitable[0]} out")
    refused = False
    done = plan_run(args.paths or [Path()], tracked=args.tracked).run()
    for build in (one.build for one in done.builds):
        checked = done.context.check(replace(build, accepted=None))
        if checked.exit_code:
            print(f"{at_line_start(checked.build.display_path)}: not accepted. {one_line(outcome_text(checked))}")
            refused = True
            continue
        record = record_of(
            checked.build, checked.rules, checked.limits, checked.options.stage, date.today().isoformat()
        )
        write_whole(checked.build.folder / f"{RECORD}.yaml", record_text(record))
        print(f"{at_line_start(checked.build.display_path)}: accepted at stage {checked.options.stage}")
    return not refused


def _update(sheets: list[Sheet], planned: RunPlan, unreadable: bool) -> int:
    """Write the files that are not current; 0 if there was none, so that a hook fails on what it changed."""
    stale = [sheet for sheet in sheets if _check(sheet, planned.files)]
    written = _write_all((sheet for sheet in stale if _wrong(sheet)), planned.context.repository)
    return 2 if unreadable or not written else int(bool(stale))


def _print_order(args: argparse.Namespace) -> int:
    """Print the order, the labels, or both; 1 if nothing may be ordered yet."""
    if unsuitable := [name for name in ("pictures", "check", "index", "touched") if getattr(args, name)]:
        raise UsageError(f"--order and --labels only print: leave --{unsuitable[0]} out")
    paths = args.paths or [Path()]
    done = plan_run(paths, tracked=args.tracked).run()
    if _print_problems(done):
        return 2
    checked = only_build(done, "an order", paths[0])
    if reason := refusal(checked):
        print(f"buildcheck: no order: {one_line(reason)}", file=sys.stderr)
        return 1
    print(f"buildcheck: {one_line(outcome_text(checked))}", file=sys.stderr)
    sys.stdout.write(_printable(supplier_order(checked)) if args.order else "")
    if args.labels:
        sys.stdout.write(_printable(labels(checked)))
        if len(checked.order.lines) == 1:
            print("buildcheck: all valves get the same length: no labels are needed", file=sys.stderr)
    return 0


def _printable(text: str) -> str:
    return "".join(f"{one_line(line)}\n" for line in text.splitlines())


def _planned(args: argparse.Namespace) -> RunPlan:
    paths = args.paths or [Path()]
    if args.index and args.touched:
        raise UsageError("--index is a table of all builds: leave --touched out")
    if args.index:
        paths = [repository_of(paths[0]).root]
    return plan_run(paths, tracked=args.tracked, touched=args.touched)


def _print_problems(done: Run) -> bool:
    """Print what cannot be read; whether there is any."""
    problems = [(problem, display_path(done.context.repository.root)) for problem in done.problems]
    problems += [(problem, checked.build.display_path) for checked in done.builds for problem in checked.problems]
    for problem, folder in problems:
        print(problem_line(problem, folder))
    return bool(problems)


def _write_all(sheets: Iterable[Sheet], repository: Repository) -> bool:
    """Write the files, and beside them how git merges them if nothing says so yet; whether all were written."""
    written = {sheet.path: _write(sheet) for sheet in sheets}
    pages = [path for path, done in written.items() if done and path.suffix == ".md"]
    for folder in folders_without_driver(repository.root, pages):
        write_whole(folder / ATTRIBUTES, attributes_text(repository.report_name, repository.index_name, FOLDER))
        print(f"{at_line_start(display_path(folder / ATTRIBUTES))}: written", file=sys.stderr)
    return all(written.values())


def _write(sheet: Sheet) -> bool:
    """Write the file, unless it holds something else, which is reported; returns whether it was written."""
    if sheet.path.suffix == ".md" and _is_foreign(sheet.path):
        print(problem_line(Problem(Place(sheet.path.name), "", FOREIGN), display_path(sheet.path.parent), "report"))
        return False
    sheet.path.parent.mkdir(exist_ok=True)
    write_whole(sheet.path, sheet.text)
    if sheet.path.suffix == ".md":
        print(f"{at_line_start(display_path(sheet.path))}: written", file=sys.stderr)
    return True


def _is_foreign(path: Path) -> bool:
    """Whether the file holds a text that buildcheck did not write."""
    try:
        data = read_regular(path, _LONGEST + 1)
    except (OSError, ValueError):
        return False
    return bool(data.strip()) and len(data) <= _LONGEST and not is_own(data.decode("utf-8", "replace"))


def _check(sheet: Sheet, tracked: Container[Path] | None) -> bool:
    """Print what is wrong with the file on disk; whether there is any."""
    wrong = _wrong(sheet)
    if wrong:
        wrong = f"{wrong}; run '{sheet.command}'"
    elif tracked is not None and sheet.path.parent.resolve() / sheet.path.name not in tracked:
        wrong = "exists but is not in the commit: git add it"
    if wrong:
        print(problem_line(Problem(Place(sheet.path.name), "", wrong), display_path(sheet.path.parent), "report"))
    return bool(wrong)


def _wrong(sheet: Sheet) -> str:
    try:
        return sheet.wrong(sheet.text, read_regular(sheet.path, _LONGEST).decode("utf-8", "replace"))
    except FileNotFoundError:
        return "is missing"
    except (OSError, ValueError) as error:
        return f"cannot be read ({error.strerror if isinstance(error, OSError) else error})"
