"""The door: the command line, and the one place that maps what happened to an exit code and writes to the streams."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence
from contextlib import suppress
from importlib import import_module
from io import TextIOWrapper

from buildcheck import __version__

COMMANDS = {
    "advise": "say what the marks tell, and what to do next at the bench",
    "check": "hold every value against schemas and rules",
    "compare": "tell what changed since a commit, and what that did to verdicts and order",
    "completion": "print a completion script for bash, zsh or fish",
    "explain": "tell what a rule, quantity, field or stage is, and which limits are in force",
    "plan": "say where to turn the crank to measure every valve, as a sheet for the bench",
    "report": "write the Markdown report of each build, or see whether it is current",
    "rules": "list the rules in force, or run their examples",
    "schemas": "export the schemas for editors that work offline, or tell stale copies",
    "start": "lay out a commented build folder to fill in, or a repository for many",
}
"""Command -> what it does. Each is a module of buildcheck.commands with ``arguments`` and ``run``."""


def main(argv: Sequence[str] | None = None) -> int:
    """Run a command; 0 nothing blocks, 1 something does, 2 the input or the call is wrong, 130 interrupted."""
    given = list(sys.argv[1:] if argv is None else argv)
    _let_any_name_through()
    try:
        arguments = parser_for(given).parse_args(given)
        code: int = import_module(f"buildcheck.commands.{arguments.command}").run(arguments)
        sys.stdout.flush()
    except BrokenPipeError:
        _drop_output()
        return 1
    except KeyboardInterrupt:
        return 130
    except Exception as error:  # a crash must never look like a verdict
        return _failed(error)
    return code


def _let_any_name_through() -> None:
    """A character that the terminal's encoding lacks, or a file name that is not UTF-8, is shown spelled out."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")


def _drop_output() -> None:
    """What is still unwritten cannot be: without this the interpreter would stumble over it once more at its end."""
    with suppress(OSError, ValueError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def parser_for(given: Sequence[str]) -> argparse.ArgumentParser:
    """The parser, with the options of the commands that are named: only what is called is imported."""
    parser = argparse.ArgumentParser(
        prog="buildcheck",
        description="Checks a pushrod engine's top end, kept as YAML in git, before parts are ordered.",
        epilog="example: buildcheck check engines/dunlin",
        allow_abbrev=False,
    )
    parser.add_argument("--version", action="version", version=f"buildcheck {__version__}")
    commands = parser.add_subparsers(dest="command", required=True, metavar="COMMAND")
    for name, does in COMMANDS.items():
        command = commands.add_parser(name, help=does, description=does.capitalize() + ".", allow_abbrev=False)
        if name in given:
            import_module(f"buildcheck.commands.{name}").arguments(command)
    return parser


def _failed(error: Exception) -> int:
    from buildcheck.escape import one_line
    from buildcheck.sources.git import UsageError

    if isinstance(error, UsageError):
        print(f"buildcheck: {one_line(str(error))}", file=sys.stderr)
    elif isinstance(error, OSError):
        _drop_output()
        where = os.fsdecode(error.filename) if isinstance(error.filename, str | bytes) else "output"
        print(f"buildcheck: {one_line(where)}: {error.strerror or error}", file=sys.stderr)
    else:
        import traceback

        traceback.print_exc()
        print("buildcheck: internal error, nothing was judged", file=sys.stderr)
    return 2


if __name__ == "__main__":
    sys.exit(main())
