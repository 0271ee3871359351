"""``buildcheck rules``: lists the rules in force, or runs their examples."""

from __future__ import annotations

import argparse
from pathlib import Path

from buildcheck.app.rule_context import rule_context_for
from buildcheck.core.escape import one_line
from buildcheck.core.plural import counted
from buildcheck.core.usage_error import UsageError
from buildcheck.output.text import problem_line
from buildcheck.rules.rule import Rule
from buildcheck.rules.rule_examples import run_examples


def arguments(parser: argparse.ArgumentParser) -> None:
    """Options of ``rules``."""
    parser.epilog = "example: buildcheck rules --test"
    parser.add_argument("path", nargs="?", type=Path, default=Path(), metavar="PATH", help="a path in the repository")
    parser.add_argument("--test", action="store_true", help="run the examples of every rule in force")


def run(args: argparse.Namespace) -> int:
    """List or test; 1 where an example ends otherwise than it says, 2 where a rule cannot be read."""
    if not args.path.exists():
        raise UsageError(f"{args.path} does not exist")
    context = rule_context_for(args.path)
    for problem in context.problems:
        print(problem_line(problem, ""))
    if args.test:
        return max(2 if context.problems else 0, _test(context.rules.rules))
    for rule in context.rules.rules:
        print(one_line(_row(rule)))
    return 2 if context.problems else 0


def _test(rules: tuple[Rule, ...]) -> int:
    wrong = [(rule, problem) for rule in rules for problem in run_examples(rule)]
    for rule, problem in wrong:
        print(problem_line(problem, "", rule.id))
    examples = sum(len(rule.examples) for rule in rules)
    outcome = f"{counted(len(wrong), 'example')} with another result" if wrong else "all results as expected"
    print(f"{counted(len(rules), 'rule')}, {counted(examples, 'example')}: {outcome}")
    return int(bool(wrong))


def _row(rule: Rule) -> str:
    origin = "" if rule.shipped else f" ({rule.place.file})"
    return f"{rule.id:24} {rule.level:7} from {rule.due:9} each {rule.for_each:10} {rule.title}{origin}"
