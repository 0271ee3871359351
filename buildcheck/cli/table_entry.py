"""Enters a whole table of trials, or nothing of it."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from pathlib import Path

from buildcheck.app.build_check import CheckedBuild, facts_as_read
from buildcheck.app.recording import Recorded, RefusedError, record
from buildcheck.build.new_reading import MARKS, NewTrial, all_of
from buildcheck.cli.reading_table import BadCell, Defaults, column_of, read_table, table_text
from buildcheck.cli.state_question import Edits
from buildcheck.cli.typed_reading import UnusableError
from buildcheck.core.escape import at_line_start, one_line
from buildcheck.output.record_wording import diff_text
from buildcheck.output.wording import counted, outcome_text

Rows = Sequence[tuple[int, NewTrial]]


def enter_table(path: Path, checked: CheckedBuild, edits: Edits, defaults: Defaults, write: bool) -> int:
    """Enter every row, or print what is wrong with each cell; 0, or 2 if nothing is written.

    ``edits`` come before the trials. Raises UnusableError for a file that is no table, and what record raises.
    """
    try:
        rows, bad = read_table(table_text(path), facts_as_read(checked.build), defaults)
    except ValueError as error:
        raise UnusableError(f"{path}: {error}") from error
    if not bad:
        try:
            return _print_entered(checked, rows, _recorded(checked, edits, rows, write), write)
        except RefusedError as refused:
            bad = list(_refused_rows(checked, edits, rows))
            if not bad:
                raise refused
    for cell in bad:
        print(f"{at_line_start(str(path))}: error: {one_line(cell.text)}")
    print("Nothing was written: a table is entered whole or not at all.", file=sys.stderr)
    return 2


def _recorded(checked: CheckedBuild, edits: Edits, rows: Rows, write: bool) -> Recorded:
    own = {**edits, MARKS: [*edits.get(MARKS, []), *(trial.edit for _, trial in rows)]}
    return record(checked.build.folder, {name: all_of(each) for name, each in own.items()}, write)


def _refused_rows(checked: CheckedBuild, edits: Edits, rows: Rows) -> Iterator[BadCell]:
    """The rows that the schemas refuse, each tried alone and not written."""
    for row in rows:
        try:
            _recorded(checked, edits, [row], write=False)
        except RefusedError as error:
            for problem in error.problems:
                yield BadCell(row[0], column_of(problem.path), problem.message)


def _print_entered(checked: CheckedBuild, rows: Rows, recorded: Recorded, write: bool) -> int:
    if not write:
        sys.stdout.writelines(map(diff_text, recorded.files))
        return 0
    valves = len({trial.subject for _, trial in rows})
    counts = f"{counted(len(rows), 'trial')} of {counted(valves, 'valve')} entered"
    place = at_line_start(f"{checked.build.display_path}/{MARKS}")
    print(f"{place}: {counts}. {one_line(outcome_text(recorded.checked))}.")
    return 0
