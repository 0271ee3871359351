"""``buildcheck check``: every build at or under the paths, judged."""

from __future__ import annotations

import argparse
import sys
from importlib import import_module
from pathlib import Path

from buildcheck.build import STAGES
from buildcheck.run import run as run_check

FORMATS = ("json", "text")


def arguments(parser: argparse.ArgumentParser) -> None:
    """Options of ``check``."""
    parser.epilog = "example: buildcheck check engines/dunlin --stage ordering"
    parser.add_argument("paths", nargs="*", type=Path, metavar="PATH", help="build folders, or folders above them")
    parser.add_argument("--format", choices=FORMATS, default="text", help="how results are written (default: text)")
    parser.add_argument("--stage", choices=STAGES, help="judge as if at this stage")
    parser.add_argument("--strict", action="store_true", help="let warnings block too")
    parser.add_argument("--tracked", action="store_true", help="count only files that git tracks; others are errors")


def run(options: argparse.Namespace) -> int:
    """Print the results; 0, 1 or 2."""
    done = run_check(options.paths or [Path()], options.stage, options.strict, options.tracked)
    sys.stdout.write(import_module(f"buildcheck.formats.{options.format}").write(done))
    return done.exit_code
