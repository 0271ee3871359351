"""The door: the command line, and the one place that maps what happened to an exit code and writes to the streams."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence
from importlib import import_module

from buildcheck import __version__

COMMANDS = {
    "advise": "say what the marks tell, and what to do next at the bench",
    "check": "hold every value against schemas and rules",
    "compare": "tell what changed since a commit, and what that did to verdicts and order",
    "report": "write the Markdown report of each build, or see whether it is current",
    "start": "lay out a commented build folder to fill in",
}
"""Command -> what it does. Each is a module of buildcheck.commands with ``arguments`` and ``run``."""


def main(argv: Sequence[str] | None = None) -> int:
    """Run a command; 0 nothing blocks, 1 something does, 2 the input or the call is wrong, 130 interrupted."""
    given = list(sys.argv[1:] if argv is None else argv)
    try:
        arguments = _parser(given).parse_args(given)
        code: int = import_module(f"buildcheck.commands.{arguments.command}").run(arguments)
        sys.stdout.flush()
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 1
    except KeyboardInterrupt:
        return 130
    except Exception as error:  # a crash must never look like a verdict
        return _failed(error)
    return code


def _parser(given: Sequence[str]) -> argparse.ArgumentParser:
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
    from buildcheck.git import UsageError

    if isinstance(error, UsageError | OSError):
        print(f"buildcheck: {error}", file=sys.stderr)
    else:
        import traceback

        traceback.print_exc()
        print("buildcheck: internal error, nothing was judged", file=sys.stderr)
    return 2


if __name__ == "__main__":
    sys.exit(main())
