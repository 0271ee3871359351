"""One rule as a page: what it requires, why, its limits, its examples as executed, and what else it controls."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from buildcheck.core.subject import BUILD
from buildcheck.output.explain.explain_rule import (
    RESULT_WORDS,
    applies_lines,
    bound_lines,
    control_lines,
    fix_lines,
    limit_lines,
    undecided_lines,
)
from buildcheck.output.finding_wording import result_text
from buildcheck.output.markdown import md
from buildcheck.registry.quantity_table import QUANTITIES
from buildcheck.rules.limits import Limits
from buildcheck.rules.rule import Example, Limit, Rule
from buildcheck.rules.rule_examples import example_result

_POSITION = re.compile(r":\d+:\d+\)")
_REPEATED = re.compile(r"^(?:what to do:? |also controls: )")


def rule_page(rule: Rule, limits: Limits) -> Iterator[str]:
    """The lines of a rule's page."""
    yield from (f"# {md(rule.title)}", "", _identity(rule), "")
    yield from (f"- {md(line.strip())}" for line in applies_lines(rule))
    yield from _section("Why", [md(rule.why)])
    yield from _section("What to do", [*_items(fix_lines(rule)), *_caution(rule)])
    judged = [f"Judged: `{rule.quantity_text}`", *_quantities(rule), "", *_items(limit_lines(rule, limits))]
    yield from _section("Limit", [*judged, *_items(bound_lines(rule)), *_items(undecided_lines(rule))])
    yield from _section("Source", [f"{md(rule.source[:1].upper() + rule.source[1:])}."])
    if controls := list(control_lines(rule)):
        yield from _section("What else it controls", list(_items(controls)))
    if rule.bounds:
        yield from _section("Set your own limit", _own_limit(rule))
    examples = ["buildcheck runs these examples; the right column is its own result.", "", *_examples(rule)]
    yield from _section("Examples", examples)
    yield from ("", "[All rules](../README.md)")


def _identity(rule: Rule) -> str:
    whom = rule.for_each.replace("_", " ")
    level = f"level {rule.level}, for each {whom}, due from stage {rule.due} on"
    return f"Rule `{rule.id}`: {level}. File: `{rule.place.file}`."


def _section(title: str, lines: Iterable[str]) -> Iterator[str]:
    yield from ("", f"## {title}", "")
    yield from lines


def _items(lines: Iterable[str]) -> Iterator[str]:
    """Lines of an explanation as a list; a limit's file is named without its line, which every edit above it moves."""
    for line in lines:
        text = _POSITION.sub(")", _REPEATED.sub("", line.strip()))
        yield f"- {md(text[:1].upper() + text[1:])}"


def _own_limit(rule: Rule) -> Iterator[str]:
    yield "In `buildcheck.yaml` for every build of a team, or in `build.yaml` for one build; the report lists it:"
    sides = ", ".join(f"{side}: {_written(bound)}" for side, bound in rule.bounds.items())
    yield from ("", "```yaml", "limits:", f"  {rule.id}: {{{sides}, because: the reason in words}}", "```")


def _written(bound: Limit) -> str:
    """A bound as the settings take it: for each valve type in braces, and quoted if a brace is part of it."""
    if "" not in bound.trees:
        return re.sub(r"(intake|exhaust) ", r"\1: ", f"{{{bound.text}}}")
    return f'"{bound.text}"' if "{" in bound.text else bound.text


def _caution(rule: Rule) -> Iterator[str]:
    if rule.caution:
        yield from ("", f"**Caution.** {md(rule.caution)}")


def _quantities(rule: Rule) -> Iterator[str]:
    for name in dict.fromkeys(rule.names()):
        if name in QUANTITIES:
            yield from ("", f"[`{name}`](../quantities.md#{name}): {md(QUANTITIES[name].title)}.")
        elif "." in name:
            yield from ("", f"[`{name}`](../fields.md#{name.partition('.')[0]}yaml): a field of the build.")


def _examples(rule: Rule) -> Iterator[str]:
    yield from ("| Given | Result | Finding |", "|---|---|---|")
    for example in rule.examples:
        result = example_result(rule, example)
        given = "<br>".join(f"`{name}`: {md(value)}" for name, value in example.given.items()) or "nothing"
        text = result_text(rule, result._replace(subject=BUILD), _system(example))
        yield f"| {given} | {RESULT_WORDS[result.kind]} | {md(text)} |"


def _system(example: Example) -> str:
    metric = any(f"{value} ".count("mm ") or f"{value} ".count(" N ") for value in example.given.values())
    return "metric" if metric else "inch"
