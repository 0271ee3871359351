"""The files that ``report`` keeps: each build's report, its pictures of marks, and the overview of all builds."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

from buildcheck.app.build_check import CheckedBuild
from buildcheck.app.run import Run, display_path
from buildcheck.core.usage_error import UsageError
from buildcheck.output.report.freshness import differs, report_differs
from buildcheck.output.report.picture import FOLDER, Picture
from buildcheck.output.report.render import render
from buildcheck.record import Record


class Sheet(Record):
    """One file with the text it should have; ``wrong`` says what another text is, ``command`` makes it again."""

    path: Path
    text: str
    wrong: Callable[[str, str], str]
    command: str


def report_sheets(run: Run, drawn: bool, only_open: bool = False) -> Iterator[Sheet]:
    """Every build's report with its pictures, if requested or drawn before.

    ``only_open``: without builds that were accepted before something outside their folder changed. Their report is
    that of the acceptance.
    """
    for checked in run.builds:
        if only_open and checked.acceptance is not None and checked.acceptance.counts and checked.acceptance.outside:
            continue
        folder, command = checked.build.folder, f"buildcheck report {checked.build.display_path}"
        drawings = _pictures(checked, drawn)
        yield from (Sheet(folder / picture.path, picture.svg, differs, command) for picture in drawings)
        repository = run.context.repository
        text = render(checked, drawings, repository.rule_page)
        yield Sheet(folder / repository.report_name, text, report_differs, command)


def index_sheet(run: Run) -> Iterator[Sheet]:
    """The overview, at the repository's root."""
    from buildcheck.output.report.index import render_index  # which a report does without

    repository = run.context.repository
    if run.builds:
        command = f"buildcheck report --index {display_path(repository.root)}"
        yield Sheet(repository.root / repository.index_name, render_index(run), differs, command)


def _pictures(checked: CheckedBuild, requested: bool) -> list[Picture]:
    """Never through a link to another folder."""
    folder = checked.build.folder / FOLDER
    if folder.is_symlink() and (requested or folder.is_dir()):
        raise UsageError(f"{checked.build.display_path}/{FOLDER} is a link: pictures are drawn beside the report only")
    if not requested and not any(folder.glob("*.svg")):
        return []
    from buildcheck.output.report.pictures import pictures  # which a report without them does without

    return pictures(checked)
