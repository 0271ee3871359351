"""The whole reference: the path of each page and its text."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from buildcheck.app.rule_context import RuleContext
from buildcheck.output.markdown import md
from buildcheck.output.reference.drawings import DRAWINGS
from buildcheck.output.reference.field_pages import field_page, results_page, settings_page
from buildcheck.output.reference.glossary_page import glossary_page
from buildcheck.output.reference.quantity_page import quantity_page
from buildcheck.output.reference.rule_page import rule_page
from buildcheck.rules.limits import Limits
from buildcheck.rules.rule import Rule, RuleSet

_AREAS = {"asbuilt": "As built"}
"""Folder of rules -> its heading, if it is not its name."""


def reference_pages(context: RuleContext) -> dict[str, str]:
    """Path -> text of every page, for the rules and limits in force in a repository."""
    limits = Limits(context.team)
    pages = {f"rules/{rule.id}.md": rule_page(rule, limits) for rule in context.rules.rules}
    pages["README.md"] = _index(context.rules)
    pages["quantities.md"] = quantity_page(context.rules)
    pages["fields.md"] = field_page()
    pages["glossary.md"] = glossary_page()
    pages["settings.md"] = settings_page()
    pages["results.md"] = results_page()
    drawings = {f"drawings/{name}.svg": drawing.svg for name, drawing in DRAWINGS.items()}
    return {path: _page(lines) for path, lines in sorted(pages.items())} | drawings


def _page(lines: Iterable[str]) -> str:
    text = "\n".join(lines)
    while "\n\n\n" in text:
        text = text.replace("\n\n\n", "\n\n")
    return f"{text.rstrip()}\n"


def _index(rules: RuleSet) -> Iterator[str]:
    yield from ("# Reference", "")
    yield "These pages are written by `buildcheck explain --pages docs/reference`. They show what the program uses."
    yield from ("", "- [Rules](#rules): what is required, why, and what to do")
    yield "- [Quantities](quantities.md): every computed number with its formulas and their sources"
    yield "- [Fields](fields.md): every key of a build's files, with units"
    yield "- [Glossary](glossary.md): the words of the trade, with drawings"
    yield "- [Settings and rule files](settings.md)"
    yield "- [JSON results](results.md)"
    yield from ("", "## Rules")
    for area in sorted({rule.area for rule in rules.rules}):
        yield from ("", f"### {_AREAS.get(area, area.replace('-', ' ').capitalize())}", "")
        yield from ("| Rule | Requirement | Level | From stage |", "|---|---|---|---|")
        yield from (_row(rule) for rule in rules.rules if rule.area == area)


def _row(rule: Rule) -> str:
    return f"| [{rule.id}](rules/{rule.id}.md) | {md(rule.title)} | {rule.level} | {rule.due} |"
