"""``buildcheck completion``: prints a shell's completion script."""

from __future__ import annotations

import argparse
import sys

from buildcheck.cli.arguments import COMMANDS, parser_for
from buildcheck.cli.completion_scripts import SHELLS, commands
from buildcheck.registry.quantity_table import QUANTITIES
from buildcheck.rules.rule_loader import load_rules


def arguments(parser: argparse.ArgumentParser) -> None:
    """Options of ``completion``."""
    parser.epilog = "example: buildcheck completion bash > ~/.local/share/bash-completion/completions/buildcheck"
    parser.add_argument("shell", choices=SHELLS, metavar="bash|fish|zsh", help="the shell that completes the commands")


def run(args: argparse.Namespace) -> int:
    """Print the script."""
    topics = {"explain": {"stage", *QUANTITIES, *(rule.id for rule in load_rules()[0].rules)}}
    sys.stdout.write(SHELLS[args.shell](commands(parser_for(list(COMMANDS)), topics)))
    return 0
