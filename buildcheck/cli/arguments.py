"""What may be written on the command line."""

from __future__ import annotations

import os
from argparse import ArgumentParser, HelpFormatter
from collections.abc import Sequence
from contextlib import suppress
from importlib import import_module

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


def parser_for(given: Sequence[str]) -> ArgumentParser:
    """The parser, with the options of the commands that are named: only what is called is imported."""
    parser = ArgumentParser(
        prog="buildcheck",
        description="Checks the top end of a pushrod engine, kept as YAML in git, before parts are ordered.",
        epilog="example: buildcheck check engines/dunlin",
        allow_abbrev=False,
        formatter_class=_Layout,
    )
    parser.add_argument("--version", action="version", version=f"buildcheck {__version__}")
    commands = parser.add_subparsers(prog=parser.prog, dest="command", required=True, metavar="COMMAND")
    for name, does in COMMANDS.items():
        told = f"{does[:1].upper()}{does[1:]}."
        named = name in given
        command = commands.add_parser(
            name, help=does, description=told, allow_abbrev=False, add_help=named, formatter_class=_Layout
        )
        if named:
            import_module(f"buildcheck.cli.commands.{name}").arguments(command)
    return parser


class _Layout(HelpFormatter):
    """The usual layout, without what it imports to learn how wide the terminal is: every format of archives."""

    def __init__(self, prog: str) -> None:
        super().__init__(prog, width=_columns() - 2)


def _columns() -> int:
    """As many as COLUMNS says, else those of the terminal, else 80."""
    with suppress(KeyError, ValueError):
        if (told := int(os.environ["COLUMNS"])) > 0:
            return told
    with suppress(OSError):
        return os.get_terminal_size().columns or 80
    return 80
