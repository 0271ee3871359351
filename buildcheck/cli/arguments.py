"""What may be written on the command line."""

from __future__ import annotations

import os
from argparse import ArgumentParser, HelpFormatter, Namespace
from collections.abc import Sequence
from contextlib import suppress
from importlib import import_module
from typing import Any

from buildcheck import __version__

COMMANDS = {
    "advise": "show what the marks mean and what to do next at the bench",
    "check": "check every value against schemas and rules",
    "compare": "show what changed since a commit, and the effect on verdicts and order",
    "completion": "print a completion script for bash, zsh or fish",
    "explain": "explain a rule, quantity, field or stage, and show the limits in force",
    "learn": "learn from all builds how well readings repeat and how much valves differ",
    "plan": "show where to turn the crank to measure every valve, as a sheet for the bench",
    "record": "enter a reading as it is taken, and show what it means",
    "report": "write the Markdown report of each build, or check that it is current",
    "rules": "list the rules in force, or run their examples",
    "schemas": "export the schemas for editors that work offline, or list outdated copies",
    "start": "create a commented build folder to fill in, or a repository for many builds",
}
"""Command -> what it does. Each is a module of buildcheck.cli.commands with ``arguments`` and ``run``."""

RENAMED = {"--kept": "--cache-dir"}
"""Old name of an option -> its name now."""


def parser_for(given: Sequence[str]) -> ArgumentParser:
    """The parser, with the options of the commands that are named: only what is called is imported."""
    parser = _CommandParser(
        prog="buildcheck",
        description="Checks the top end of a pushrod engine, kept as YAML in git, before parts are ordered.",
        epilog="example: buildcheck check engines/dunlin",
        allow_abbrev=False,
        formatter_class=_Layout,
    )
    parser.add_argument("--version", action="version", version=f"buildcheck {__version__}")
    commands = parser.add_subparsers(prog=parser.prog, dest="command", required=True, metavar="COMMAND")
    for name, does in COMMANDS.items():
        described = f"{does[:1].upper()}{does[1:]}."
        is_named = name in given
        command = commands.add_parser(
            name, help=does, description=described, allow_abbrev=False, add_help=is_named, formatter_class=_Layout
        )
        if is_named:
            import_module(f"buildcheck.cli.commands.{name}").arguments(command)
    return parser


class _CommandParser(ArgumentParser):
    """A parser that answers an unknown option with the one probably meant."""

    def parse_args(self, args: Any = None, namespace: Any = None) -> Any:
        found, unknown = self.parse_known_args(args, namespace)
        if unknown:
            self.error(f"unrecognized arguments: {' '.join(unknown)}{_suggestion(unknown[0], found)}")
        return found


def _suggestion(unknown: str, found: Namespace) -> str:
    """``; did you mean --cache-dir?`` for a renamed option or a near miss of one of the command's."""
    from buildcheck.schema.near_miss import suggest

    options = {f"--{name.replace('_', '-')}" for name in vars(found)}
    option = unknown.partition("=")[0]
    likely = RENAMED.get(option) or (suggest(option, options) if option.startswith("--") else None)
    return f"; did you mean {likely}?" if likely in options else ""


class _Layout(HelpFormatter):
    """The usual layout, without what it imports to learn how wide the terminal is: every format of archives."""

    def __init__(self, prog: str) -> None:
        super().__init__(prog, width=_columns() - 2)


def _columns() -> int:
    """As many as COLUMNS says, else those of the terminal, else 80."""
    with suppress(KeyError, ValueError):
        if (columns := int(os.environ["COLUMNS"])) > 0:
            return columns
    with suppress(OSError):
        return os.get_terminal_size().columns or 80
    return 80
