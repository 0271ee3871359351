"""Enters a whole table of trials and readings of motion, or nothing of it."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from pathlib import Path

from buildcheck.advice.motion_doubts import new_fault
from buildcheck.app.build_check import CheckedBuild, facts_as_read
from buildcheck.app.recording import DoubtfulError, Recorded, RefusedError, record
from buildcheck.build.facts import Facts
from buildcheck.build.new_motion import NewMotion
from buildcheck.build.new_reading import MARKS, MOTION, NewTrial, one_edit_each
from buildcheck.cli.reading_names import column_of
from buildcheck.cli.reading_table import read_table, table_text
from buildcheck.cli.state_question import Edits
from buildcheck.cli.table_row import BadCell, Defaults, Entry
from buildcheck.cli.typed_reading import UnusableError
from buildcheck.core.escape import at_line_start, one_line
from buildcheck.core.plural import counted
from buildcheck.core.usage_error import UsageError
from buildcheck.output.record_wording import diff_text
from buildcheck.output.wording import outcome_text
from buildcheck.yamlio.insertion import UnsupportedLayoutError

Rows = Sequence[tuple[int, Entry]]


def enter_table(path: Path, checked: CheckedBuild, edits: Edits, defaults: Defaults, write: bool) -> int:
    """Enter every row, or print what is wrong with each cell; 0, or 2 if nothing is written.

    ``edits`` come before the rows. Raises UnusableError for a file that is no table, UsageError for options that no
    row uses, and what record raises.
    """
    before = facts_as_read(checked.build)
    try:
        rows, bad = read_table(table_text(path), before, defaults)
    except ValueError as error:
        raise UnusableError(f"{path}: {error}") from error
    if not bad:
        _refuse_unused(path, rows, defaults)
        try:
            return _print_entered(checked, rows, _recorded(checked, before, edits, rows, write), write)
        except (RefusedError, UnsupportedLayoutError) as refused:
            bad = list(_refused_rows(checked, before, edits, rows)) or list(_repeated_rows(rows))
            if not bad:
                raise refused
    for cell in bad:
        print(f"{at_line_start(str(path))}: error: {one_line(cell.text)}")
    print("Nothing was written: a table is entered whole or not at all.", file=sys.stderr)
    return 2


def _refuse_unused(path: Path, rows: Rows, defaults: Defaults) -> None:
    """Reader and day belong to trials: options that no row uses would be lost."""
    given = [option for option, text in (("--by", defaults.by), ("--on", defaults.on)) if text]
    if given and not any(isinstance(one, NewTrial) for _, one in rows):
        raise UsageError(f"{given[0]} belongs to a trial, and {one_line(str(path))} has none; write it into note")


def _recorded(checked: CheckedBuild, before: Facts, edits: Edits, rows: Rows, write: bool) -> Recorded:
    trials = [one.edit for _, one in rows if isinstance(one, NewTrial)]
    motion = [one for _, one in rows if isinstance(one, NewMotion)]
    all_edits = dict(edits)
    for name, new in ((MOTION, [one.edit for one in motion]), (MARKS, trials)):
        if new or name in all_edits:
            all_edits[name] = [*all_edits.pop(name, []), *new]
    lobes = {(one.subject, one.at): one for one in motion}  # a fault is one of the whole entry

    def fault(then: CheckedBuild) -> str:
        return next((found for one in lobes.values() if (found := new_fault(before, one, then.facts))), "")

    return record(checked.build.folder, one_edit_each(all_edits), write, fault)


def _refused_rows(checked: CheckedBuild, before: Facts, edits: Edits, rows: Rows) -> Iterator[BadCell]:
    """The rows that the schemas refuse, each tried alone and not written."""
    for row in rows:
        try:
            _recorded(checked, before, edits, [row], write=False)
        except RefusedError as error:
            for problem in error.problems:
                yield BadCell(row[0], column_of(problem.path), problem.message)
        except (UnsupportedLayoutError, DoubtfulError) as error:
            yield BadCell(row[0], "", str(error))


def _repeated_rows(rows: Rows) -> Iterator[BadCell]:
    """Rows of motion that an earlier row of the table contradicts."""
    text = ""
    for number, one in rows:
        try:
            text = one.edit(text) if isinstance(one, NewMotion) else text
        except UnsupportedLayoutError as error:
            yield BadCell(number, "", str(error).replace(f"{MOTION} has", "an earlier row has"))


def _print_entered(checked: CheckedBuild, rows: Rows, recorded: Recorded, write: bool) -> int:
    if not write:
        sys.stdout.writelines(map(diff_text, recorded.files))
        return 0
    for name, noun, kind in ((MARKS, "trial", NewTrial), (MOTION, "reading", NewMotion)):
        if entered := [one for _, one in rows if isinstance(one, kind)]:
            counts = (
                f"{counted(len(entered), noun)} of {counted(len({one.subject for one in entered}), 'valve')} entered"
            )
            place = at_line_start(f"{checked.build.display_path}/{name}")
            print(f"{place}: {counts}. {one_line(outcome_text(recorded.checked))}.")
    return 0
