"""``buildcheck start``: lays out a commented build folder, or a repository for many."""

from __future__ import annotations

import argparse
import os
import sys
from pathlib import Path
from shlex import quote

from buildcheck.app.run import excluded_message
from buildcheck.cli.new_files import OverwriteError
from buildcheck.cli.scaffold import FIRST_BUILD, start_build, start_repository
from buildcheck.core.escape import at_line_start, one_line
from buildcheck.core.files import real
from buildcheck.core.usage_error import UsageError
from buildcheck.repo.repository import repository_of


def arguments(parser: argparse.ArgumentParser) -> None:
    """Options of ``start``."""
    parser.epilog = "example: buildcheck start engines/dunlin; buildcheck start --repository shop"
    parser.add_argument("folder", metavar="DIR", help="the folder to create; nothing is overwritten")
    parser.add_argument(
        "--repository",
        action="store_true",
        help="create a whole repository: settings, hooks, workflow, parts, one build",
    )


def run(args: argparse.Namespace) -> int:
    """Make the folder; 2 if something exists there already."""
    if not args.folder:
        raise UsageError("enter a folder; '.' is the current one")
    folder = Path(args.folder)
    try:
        written = start_repository(folder) if args.repository else start_build(folder)
    except OverwriteError as error:
        raise UsageError(str(error)) from error
    for path in written:
        if path.parent.name != ".schemas":
            print(at_line_start(str(path)))
    build = folder / FIRST_BUILD if args.repository else folder
    print(f"fill them in, then run: buildcheck check {quote(at_line_start(str(build)))}", file=sys.stderr)
    if not args.repository:
        _warn(build)
    return 0


def _warn(build: Path) -> None:
    """Where the team's settings would leave the new build unchecked."""
    repository = repository_of(build)
    rel_path = Path(os.path.relpath(real(build), repository.root)).as_posix()
    if not repository.is_build(rel_path):
        print(f"buildcheck: {one_line(excluded_message([rel_path]))}: write it there too", file=sys.stderr)
