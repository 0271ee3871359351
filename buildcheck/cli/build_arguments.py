"""The arguments that name builds, the same for every command."""

from __future__ import annotations

import argparse
from pathlib import Path


def add_paths(parser: argparse.ArgumentParser) -> None:
    """Any number of build folders or folders above them."""
    parser.add_argument("paths", nargs="*", type=Path, metavar="PATH", help="build folders, or folders above them")


def add_build(parser: argparse.ArgumentParser) -> None:
    """One build folder."""
    parser.add_argument("build", type=Path, metavar="BUILD", help="the build folder")
