"""``buildcheck explain``: what a rule, a quantity, a field or a stage is, and what is in force here."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterable, Iterator
from difflib import get_close_matches
from pathlib import Path
from typing import NoReturn

from buildcheck.app.rule_context import RuleContext, rule_context_for
from buildcheck.app.run import display_path
from buildcheck.build.build_folder import STAGES, read_build
from buildcheck.core.escape import one_line
from buildcheck.core.files import write_whole
from buildcheck.core.plural import counted
from buildcheck.core.usage_error import UsageError
from buildcheck.output.explain.explain_field import explain_field, fields_called
from buildcheck.output.explain.explain_quantity import explain_quantity
from buildcheck.output.explain.explain_rule import explain_rule
from buildcheck.output.explain.explain_stage import explain_stages
from buildcheck.output.explain.trade_words import TRADE_WORDS, explain_trade_word, trade_word
from buildcheck.output.text import problem_line
from buildcheck.registry.quantity_table import QUANTITIES
from buildcheck.repo.file_tree import BUILD_FILE
from buildcheck.rules.limits import Limits
from buildcheck.schema.fields import field_kinds


def arguments(parser: argparse.ArgumentParser) -> None:
    """Options of ``explain``."""
    parser.epilog = "example: buildcheck explain mark-centred engines/dunlin"
    parser.add_argument(
        "topic",
        nargs="?",
        metavar="RULE|QUANTITY|FIELD|WORD|stage",
        help="mark-centred, preload, cam.advance, 'witness mark', stage; without it: a list of the topics",
    )
    parser.add_argument(
        "path", nargs="?", type=Path, default=Path(), metavar="PATH", help="a build or repository, for its limits"
    )
    parser.add_argument(
        "--pages", type=Path, metavar="DIR", help="write the whole reference there as Markdown, one page for each rule"
    )


def run(args: argparse.Namespace) -> int:
    """Print the explanation; 2 where rules or settings cannot be read, or nothing is called so."""
    if not args.path.exists():
        raise UsageError(f"{args.path} does not exist")
    context = rule_context_for(args.path)
    for problem in context.problems:
        print(problem_line(problem, ""), file=sys.stderr)
    if args.pages is not None:
        return _write_pages(args.pages, context)
    topics = _lines(args.topic, context, args.path) if args.topic else _topics(context)
    for line in topics:
        print("\n".join(one_line(part) for part in line.split("\n")))
    return 2 if context.problems else 0


def _write_pages(folder: Path, context: RuleContext) -> int:
    if context.problems:
        return 2
    from buildcheck.output.reference.reference_pages import reference_pages

    pages = reference_pages(context)
    for name, text in pages.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        write_whole(path, text)
    print(one_line(f"{display_path(folder)}: {counted(len(pages), 'page')} written"))
    return 0


def _lines(topic: str, context: RuleContext, path: Path) -> Iterable[str]:
    if topic in ("stage", *STAGES):
        return explain_stages(context.rules)
    word = trade_word(topic)
    lines = list(explain_trade_word(word)) if word else []
    if topic in context.rules:
        lines += ["", *explain_rule(context.rules[topic], _limits(context, path))][not lines :]
    if topic in QUANTITIES:
        lines += ["", *explain_quantity(topic, QUANTITIES[topic], context.rules)][not lines :]
    if word or lines:
        return [*lines, *_field_lines(topic, context)] if topic not in QUANTITIES else lines
    return list(_field_lines(topic, context)) or _refuse(topic, context)


def _topics(context: RuleContext) -> Iterator[str]:
    """Everything that can be explained, one kind per paragraph."""
    kinds = {
        "words of the trade": TRADE_WORDS,
        "rules": [rule.id for rule in context.rules.rules],
        "quantities": QUANTITIES,
        "stages": STAGES,
    }
    for kind, names in kinds.items():
        yield f"{kind}: {', '.join(names)}"
    yield "fields: every key of a build file, such as cam.advance or lobe_lift"


def _field_lines(topic: str, context: RuleContext) -> Iterable[str]:
    fields = fields_called(topic)
    if len(fields) == 1:
        return explain_field(fields[0], context.rules)
    return [f"{topic} is a field of several:", *(f"  {field}" for field in fields)] if fields else []


def _refuse(topic: str, context: RuleContext) -> NoReturn:
    raise UsageError(f"nothing has the name {topic}{_suggestion(topic, context)}")


def _limits(context: RuleContext, path: Path) -> Limits:
    """The team's limits, and if the path is a build, those of its families and its own."""
    folder = path if path.is_dir() else path.parent
    if not (folder / BUILD_FILE).is_file():
        return Limits(context.team)
    return context.check(read_build(folder, display_path(folder))).limits


def _suggestion(topic: str, context: RuleContext) -> str:
    fields = field_kinds()
    known = ["stage", *TRADE_WORDS, *(rule.id for rule in context.rules.rules), *QUANTITIES, *fields]
    names = dict.fromkeys([*known, *(path.rpartition(".")[2] for path in fields)])
    close = get_close_matches(topic, names, 3)
    return f"; did you mean {' or '.join(close)}?" if close else "; 'buildcheck rules' lists the rules"
