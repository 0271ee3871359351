"""``buildcheck start``: lays out a commented build folder."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from buildcheck.git import UsageError
from buildcheck.start import InTheWayError, start


def arguments(parser: argparse.ArgumentParser) -> None:
    """Options of ``start``."""
    parser.epilog = "example: buildcheck start engines/dunlin"
    parser.add_argument("folder", type=Path, metavar="DIR", help="the build folder to make; nothing is overwritten")


def run(options: argparse.Namespace) -> int:
    """Make the folder; 2 where something is in the way."""
    try:
        written = start(options.folder)
    except InTheWayError as error:
        raise UsageError(str(error)) from error
    for path in written:
        if path.suffix == ".yaml":
            print(path)
    print(f"fill them in, then run 'buildcheck check {options.folder}'", file=sys.stderr)
    return 0
