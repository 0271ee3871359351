"""A comparison as the comment of a pull request: a table, what to review, causes, cures, dangers, folded details."""

from __future__ import annotations

from collections.abc import Iterator

from buildcheck.output.compare.comment_causes import cause_sections, cures
from buildcheck.output.compare.comment_details import detail_sections
from buildcheck.output.compare.comment_links import Links
from buildcheck.output.compare.comment_table import verdict_table
from buildcheck.output.compare.compare_wording import input_text, part_change_text, relaxation_text, summary
from buildcheck.output.compare.comparison import Comparison
from buildcheck.output.compare.fitted_text import Item, Section, fitted
from buildcheck.output.markdown import md

LIMIT = 60_000
"""Bytes: GitHub refuses a comment of 65,536 characters."""
MARKER = "<!-- buildcheck compare -->"
"""First line of every comment, by which a bot finds its own."""
NOTHING = "<!-- nothing changed -->"
"""Second line if nothing changed, so that a bot can stay silent."""


def write(comparison: Comparison, link_base: str = "") -> str:
    """The whole comment, below ``LIMIT``. It names no revision: the same change gives the same text."""
    links = Links(link_base, comparison.after.context.repository.rule_page("{rule}"))
    return fitted([*_sections(comparison, links)], LIMIT)


def _sections(comparison: Comparison, links: Links) -> Iterator[Section]:
    nothing = not (comparison.changes or comparison.team or comparison.rules or comparison.problems)
    yield Section(0, "", MARKER, ((f"{NOTHING}\n" if nothing else "",), (f"**{md(summary(comparison))}.**",)))
    yield Section(1, "error", f"\n### {_ERRORS}\n", tuple(_errors(comparison, links)))
    yield from verdict_table(comparison)
    yield Section(1, "", "\n### Passes only because its terms were relaxed\n", tuple(_relaxed(comparison, links)))
    yield Section(1, "", "\n### Parts changed, readings did not\n", tuple(_parts(comparison, links)))
    yield Section(0, "", "\n### Dangers\n", tuple((f"- {md(text)}",) for text in _dangers(comparison)))
    yield Section(5, "setting", "\n### Rules and limits of the team\n", tuple(_team(comparison, links)))
    yield from cause_sections(comparison.changes, links)
    yield Section(3, "cure", "\n### What to do\n", cures(comparison.changes))
    yield from detail_sections(comparison.changes, links)


_ERRORS = "Errors in the team's rules, settings or folders"


def _errors(comparison: Comparison, links: Links) -> Iterator[Item]:
    for problem in comparison.problems:
        at = links.at(problem.place, "")
        yield f"- ✗ {at}: {md(problem.message)}", f"- ✗ {at}", ""


def _relaxed(comparison: Comparison, links: Links) -> Iterator[Item]:
    found: dict[tuple[str, str], list[str]] = {}
    for change in comparison.changes:
        for one in change.relaxations:
            text = f"{md(relaxation_text(one))} ({links.at(one.place, change.folder, short=False)})"
            key = (one.rule, f"{', '.join(one.causes)}; {one.terms}")
            found.setdefault(key, []).append(f"{md(change.folder)}: {text}")
    for (rule, terms), texts in found.items():
        yield f"- {texts[0]}{_more(texts)}", f"- {md(rule)}: {md(terms)}{_more(texts)}"


def _parts(comparison: Comparison, links: Links) -> Iterator[Item]:
    found: dict[tuple[str, ...], list[str]] = {}
    for change in comparison.changes:
        for one in change.part_changes:
            text = f"{md(part_change_text(one))} ({links.at(one.place, change.folder, short=False)})"
            found.setdefault((one.title, one.before, one.after), []).append(f"{md(change.folder)}: {text}")
    for key, texts in found.items():
        yield f"- {texts[0]}{_more(texts)}", f"- {md(' '.join(key))}{_more(texts)}"


def _more(texts: list[str]) -> str:
    if len(texts) == 1:
        return ""
    return f" The same in {len(texts) - 1} more build{'' if len(texts) == 2 else 's'}."


def _team(comparison: Comparison, links: Links) -> Iterator[Item]:
    for one in comparison.team:
        yield f"- {links.at(one.place, '')}: {md(input_text(one))}", ""
    for rule in comparison.rules:
        yield f"- rule {md(rule)}", ""


def _dangers(comparison: Comparison) -> Iterator[str]:
    """The cautions of rules that block a changed build, each once: they are never folded or left out."""
    found: dict[str, None] = {}
    for change in comparison.changes:
        if change.after is not None:
            rules = [change.after.rules[result.rule] for result in change.after.results if result.blocks]
            found |= {" ".join(rule.caution.split()): None for rule in rules if rule.caution}
    return iter(found)
