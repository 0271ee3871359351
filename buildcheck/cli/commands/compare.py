"""``buildcheck compare``: what changed between two states of the repository, and what that did to the verdicts."""

from __future__ import annotations

import argparse
from contextlib import nullcontext
from pathlib import Path

from buildcheck.core.usage_error import UsageError
from buildcheck.repo.git_diff import changed_files_meanwhile

STRICT = "also exit 1 if a build passes only because of relaxed terms, or parts changed and readings did not"
"""Help of the option of that name."""
LINK_BASE = "with markdown: link each line to URL/FILE#Lnn, the repository's files at the new state"
"""Help of the option of that name."""
FORMATS = ("json", "markdown", "text")


def arguments(parser: argparse.ArgumentParser) -> None:
    """Options of ``compare``."""
    parser.epilog = "example: buildcheck compare main engines/dunlin --format markdown"
    parser.add_argument("base", metavar="BASE", help="the old state: a branch, tag or commit")
    parser.add_argument(
        "rest", nargs="*", metavar="[HEAD] PATH", help="the new state (default: the working tree); folders to compare"
    )
    parser.add_argument("--format", choices=FORMATS, default="text", help="output format (default: text)")
    parser.add_argument("--link-base", metavar="URL", default="", help=LINK_BASE)
    parser.add_argument("--strict", action="store_true", help=STRICT)


def run(args: argparse.Namespace) -> int:
    """Print the comparison; 0 nothing blocks newly, 1 something does, 2 the new state cannot be read."""
    if args.link_base and args.format != "markdown":
        raise UsageError("--link-base is for --format markdown")
    here = Path.cwd()
    with changed_files_meanwhile(here) if not args.rest else nullcontext() as status:
        from buildcheck.cli.two_states import print_comparison  # which takes as long to import as git to compare files

        return print_comparison(args, here, status)
