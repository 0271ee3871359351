"""``buildcheck record``: enters a reading as it is taken and shows in one line what it means and what to do next."""

from __future__ import annotations

import argparse
import re
import sys
from datetime import date
from functools import partial
from pathlib import Path

from buildcheck.advice.motion_doubts import new_fault
from buildcheck.app.build_check import CheckedBuild, facts_as_read
from buildcheck.app.part_witness import committed_parts
from buildcheck.app.recording import (
    ChangedMeanwhileError,
    DoubtfulError,
    RefusedError,
    changed_parts,
    no_doubt,
    record,
)
from buildcheck.app.run import only_build
from buildcheck.app.run import run as run_check
from buildcheck.build.facts import Facts
from buildcheck.build.new_motion import NewMotion
from buildcheck.build.new_reading import (
    CLEARANCES,
    MARKS,
    MOTION,
    NewClearance,
    one_edit_each,
)
from buildcheck.build.states import states
from buildcheck.cli.build_arguments import add_build
from buildcheck.cli.dialogue import InputEndedError
from buildcheck.cli.entered_line import entered_line
from buildcheck.cli.reading_names import MEASURED
from buildcheck.cli.state_question import Changes, first_state_note, state_edits
from buildcheck.cli.table_entry import enter_table
from buildcheck.cli.table_row import Defaults
from buildcheck.cli.typed_reading import Typed, UnusableError, readings
from buildcheck.cli.valve_name import subject_of
from buildcheck.cli.walk import UnfinishedError, Walk
from buildcheck.core.escape import at_line_start, one_line
from buildcheck.core.problem import Place
from buildcheck.core.subject import BUILD
from buildcheck.core.usage_error import UsageError
from buildcheck.core.value import Undecided
from buildcheck.output.record_wording import changed_line, diff_text
from buildcheck.output.text import problem_line, problems
from buildcheck.yamlio.insertion import UnsupportedLayoutError

LOST = (
    RefusedError, DoubtfulError, ChangedMeanwhileError, UnsupportedLayoutError, OSError,
    UnusableError, UnfinishedError, InputEndedError,
)  # fmt: skip
"""Why a reading is not written: then it is printed, so that it is not lost."""

FILES: dict[type, str] = {NewClearance: CLEARANCES, NewMotion: MOTION}
"""Where a reading goes that is no trial."""

NOT_ASKED = (
    *(name for name, _, _ in MEASURED),
    "feel", "plunger", "checker", "crank", "at", "void", "clearance", "type", "note",
)  # fmt: skip
"""Options that belong to one valve: along the plan each has its question."""


_BELOW_ZERO = re.compile(r"-[\d.]")
"""What argparse takes for a value instead of an option: a shim below zero may have its unit."""


def arguments(parser: argparse.ArgumentParser) -> None:
    """Options of ``record``."""
    parser.epilog = (
        "example: buildcheck record engines/dunlin 3/exhaust --turns 9.25 --mark .151-.182 --lines .157,.158"
    )
    parser._negative_number_matcher = _BELOW_ZERO
    add_build(parser)
    parser.add_argument(
        "valve", nargs="?", metavar="CYLINDER/VALVE",
        help="the valve, such as 3/exhaust; without it, short questions lead you along the measuring plan",
    )  # fmt: skip
    for name, metavar, purpose in MEASURED:
        parser.add_argument(f"--{name}", nargs="+", default=[], metavar=metavar, help=purpose)
    parser.add_argument("--feel", choices=("slack", "tight"), help="clearance still felt, or none left")
    parser.add_argument(
        "--plunger", choices=("top", "bottom"), help="where a hydraulic plunger was during the feeler reading"
    )
    parser.add_argument("--checker", metavar="NAME", help="name of the checking pushrod, if there are several")
    parser.add_argument(
        "--crank", metavar="ANGLE", help="crank angle of a lift or drop; at zero lash, for a valve's first trial"
    )
    parser.add_argument("--at", choices=("valve", "lifter"), help="where the lift was read (default: valve)")
    parser.add_argument("--void", nargs=2, metavar=("TRIAL", "REASON"), help="a trial that does not count, and why")
    parser.add_argument(
        "--clearance", action="append", default=[], metavar="NAME=LENGTH",
        help="a clearance, such as piston_to_valve=0.135; can be repeated",
    )  # fmt: skip
    parser.add_argument("--type", action="store_true", help="the clearance applies to all valves of this type")
    parser.add_argument("--state", metavar="NAME", help="parts were changed: the name of the engine's new state")
    parser.add_argument(
        "--correct", action="append", default=[], metavar="PATH",
        help="the same part was measured again, such as rockers.valve_arm: correct the last state; can be repeated",
    )  # fmt: skip
    parser.add_argument(
        "--from", type=Path, dest="table", metavar="TABLE.csv",
        help="enter every row of a table, or none: columns cylinder, valve, length, turns, mark_from, mark_to …",
    )  # fmt: skip
    parser.add_argument("--by", metavar="INITIALS", help="who took the reading")
    parser.add_argument("--on", metavar="DATE", help="the day of the reading (default: today)")
    parser.add_argument("--note", metavar="TEXT", help="a remark on the trial")
    parser.add_argument("--dry-run", action="store_true", help="show the change as a diff; write nothing")


def run(args: argparse.Namespace) -> int:
    """Write the reading and print the answer, or lead along the plan; 0, or 2 if it cannot be written."""
    typed = Typed(subject_of(args.valve) if args.valve else BUILD, vars(args))
    try:
        done = run_check([args.build])
        checked = only_build(done, "a reading", args.build)
    except UsageError:
        _print_lost(typed.text)
        raise
    changes = _changes(checked, typed) if not done.problems else Changes(())
    if (unreadable := problems(done)) and not changes.parts:
        sys.stdout.write(unreadable)
        _print_lost(typed.text)
        return 2
    try:
        code = _entered(typed, checked, changes)
        if note := first_state_note(facts_as_read(checked.build), typed.one("state"), changes.committed):
            print(one_line(note))
        return code
    except LOST as error:
        _print_reason(error, checked)
        _print_lost(str(error) if isinstance(error, UnfinishedError) else typed.text)
        return 2


def _changes(checked: CheckedBuild, typed: Typed) -> Changes:
    """What was changed; git is read only for a new state in a file without states."""
    parts, new = changed_parts(checked), typed.one("state") and not states(facts_as_read(checked.build))
    try:
        return Changes(parts, committed_parts(checked.build) if new else None)
    except UsageError:  # git is not installed
        return Changes(parts)


def _entered(typed: Typed, checked: CheckedBuild, changes: Changes) -> int:
    if (table := typed.entered["table"]) is not None:
        _refuse_options(typed, "--from")
        facts, corrected = facts_as_read(checked.build), typed.entered["correct"]
        state, edits = state_edits(facts, changes, typed.one("state"), corrected)
        defaults = Defaults(typed.one("by"), typed.one("on"), _today, state)
        return enter_table(table, checked, edits, defaults, write=not typed.entered["dry_run"])
    if typed.subject != BUILD:
        return _enter(typed, checked, changes)
    only_states = typed.entered["correct"] or typed.one("state")
    return (_keep_states if only_states else _walk)(typed, checked, changes)


def _keep_states(typed: Typed, checked: CheckedBuild, changes: Changes) -> int:
    """Add a state, or correct parts in the last one, without a reading."""
    corrected, name = typed.entered["correct"], typed.one("state")
    _refuse_options(typed, f"--{'correct' if corrected else 'state'} without a valve")
    _, edits = state_edits(facts_as_read(checked.build), changes, name, corrected)
    if not edits:
        raise UnusableError(f"--state: {name!r} is the last state already, and no part differs from it")
    write = not typed.entered["dry_run"]
    recorded = record(checked.build.folder, one_edit_each(edits), write)
    if not write:
        sys.stdout.writelines(map(diff_text, recorded.files))
        return 0
    place = Place(MARKS, changed_line(recorded.files[0])).rebased_on(checked.build.display_path)
    what = f"corrected in the last state: {', '.join(corrected)}" if corrected else f"state {name!r} added"
    print(f"{at_line_start(f'{place.file}:{place.line}')}: {one_line(what)}")
    return 0


def _refuse_options(typed: Typed, other: str) -> None:
    """Options of one valve together with those for many."""
    if given := [name for name in NOT_ASKED if typed.entered[name]]:
        raise UsageError(f"--{given[0]} belongs to one valve, such as 3/exhaust, and not to {other}")
    if typed.subject.cylinder is not None:
        raise UsageError(f"{other} names the valves itself: leave {typed.subject.key} out")


def _walk(typed: Typed, checked: CheckedBuild, changes: Changes) -> int:
    _refuse_options(typed, "the walk along the plan")
    if typed.entered["dry_run"]:
        raise UsageError("--dry-run shows one change: name a valve, such as 3/exhaust")
    _, edits = state_edits(facts_as_read(checked.build), changes, typed.one("state"), typed.entered["correct"])
    if edits:
        checked = record(checked.build.folder, one_edit_each(edits)).checked
    day = typed.one("on")
    try:
        Walk(checked, typed.one("by"), (lambda: day) if day else _today).run()
    except Undecided as reason:
        print(f"buildcheck: no measuring plan yet: {one_line(reason.reason)}", file=sys.stderr)
        return 2
    return 0


def _enter(typed: Typed, checked: CheckedBuild, changes: Changes) -> int:
    facts = facts_as_read(checked.build)
    state, edits = state_edits(facts, changes, typed.entered["state"] or "", typed.entered["correct"])
    found = readings(typed, facts, state, _today)
    file = FILES.get(type(found[0]), MARKS)
    earlier = edits.pop(file, [])
    edits[file] = [*earlier, *(reading.edit for reading in found)]
    write = not typed.entered["dry_run"]
    refuse = partial(_fault, facts, found[0]) if isinstance(found[0], NewMotion) else no_doubt
    recorded = record(checked.build.folder, one_edit_each(edits), write, refuse)
    if not write:
        sys.stdout.writelines(map(diff_text, recorded.files))
        return 0
    for reading in found:
        print(entered_line(recorded, reading, file))
    return 0


def _fault(before: Facts, reading: NewMotion, checked: CheckedBuild) -> str:
    return new_fault(before, reading, checked.facts)


def _today() -> str:
    return date.today().isoformat()


def _print_reason(error: Exception, checked: CheckedBuild) -> None:
    if isinstance(error, RefusedError):
        for problem in error.problems:
            print(problem_line(problem, checked.build.display_path))
    elif isinstance(error, UnfinishedError):
        print(f"buildcheck: the trial was not finished: {one_line(str(error.__cause__))}", file=sys.stderr)
    elif isinstance(error, OSError):
        print(f"buildcheck: {one_line(str(error.filename or 'output'))}: {error.strerror or error}", file=sys.stderr)
    else:
        print(f"buildcheck: {one_line(str(error))}", file=sys.stderr)


def _print_lost(text: str) -> None:
    if text:
        print(f"Nothing was written. You entered: {one_line(text)}", file=sys.stderr)
