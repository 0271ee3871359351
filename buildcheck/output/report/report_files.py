"""The files that ``report`` keeps: each build's report, its pictures of marks, and the overview of all builds."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from buildcheck.app.build_check import CheckedBuild
from buildcheck.app.run import Run, display_path
from buildcheck.core.usage_error import UsageError
from buildcheck.output.report.freshness import differs, report_differs
from buildcheck.output.report.index import render_index
from buildcheck.output.report.pictures import FOLDER, Picture, pictures
from buildcheck.output.report.render import render


@dataclass(frozen=True, slots=True)
class Sheet:
    """One file with the text it should have; ``wrong`` tells what another text is, ``again`` how it is made anew."""

    path: Path
    text: str
    wrong: Callable[[str, str], str]
    again: str


def report_sheets(run: Run, drawn: bool) -> Iterator[Sheet]:
    """Every build's report with its pictures, where they are asked for or were drawn before."""
    for checked in run.builds:
        folder, again = checked.build.folder, f"buildcheck report {checked.build.shown}"
        own = _pictures(checked, drawn)
        yield from (Sheet(folder / picture.path, picture.svg, differs, again) for picture in own)
        name = run.context.repository.report_name
        yield Sheet(folder / name, render(checked, own), report_differs, again)


def index_sheet(run: Run) -> Iterator[Sheet]:
    """The overview, at the repository's root."""
    repository = run.context.repository
    if run.builds:
        again = f"buildcheck report --index {display_path(repository.root)}"
        yield Sheet(repository.root / repository.index_name, render_index(run), differs, again)


def _pictures(checked: CheckedBuild, asked: bool) -> list[Picture]:
    """Never through a link to another folder."""
    folder = checked.build.folder / FOLDER
    if folder.is_symlink() and (asked or folder.is_dir()):
        raise UsageError(f"{checked.build.shown}/{FOLDER} is a link: pictures are drawn beside the report only")
    return pictures(checked) if asked or any(folder.glob("*.svg")) else []
