"""All named quantities on one page, each with its formulas: inputs, result, source, known number and code."""

from __future__ import annotations

import inspect
import re
from collections.abc import Callable, Iterable, Iterator
from textwrap import dedent
from types import FunctionType
from typing import Any

from buildcheck.build.facts import Quantity
from buildcheck.output.explain.explain_quantity import formulas_of
from buildcheck.output.markdown import md
from buildcheck.registry.quantity_table import QUANTITIES
from buildcheck.rules.dimensions import described
from buildcheck.rules.rule import RuleSet

_HEADINGS = {"Args:": "**Inputs.**", "Returns:": "**Result.**", "Source:": "**Source.**"}
MOST_LINES = 14
"""A formula of more lines is described, and its code is not repeated."""


def quantity_page(rules: RuleSet) -> Iterator[str]:
    """The lines of the page."""
    used = dict.fromkeys(formula for one in QUANTITIES.values() for formula in formulas_of(one.compute))
    yield from ("# Quantities", "")
    yield "buildcheck computes these named quantities. A rule, a script and `buildcheck explain NAME` use the name."
    yield "Formulas use SI units, and degrees for angles. The code of a formula is the formula itself."
    for name, quantity in QUANTITIES.items():
        yield from ("", f"## {name}", "", *_quantity(name, quantity, rules))
    yield from ("", "# Formulas")
    for formula in sorted(used, key=lambda one: one.__name__):
        yield from ("", f"## Formula {formula.__name__}", "", *_formula(formula))


def _quantity(name: str, quantity: Quantity, rules: RuleSet) -> Iterator[str]:
    yield f"**{md(quantity.title)}**: {described(quantity.kind)} for each {quantity.per.replace('_', ' ')}."
    yield from ("", *_paragraphs(quantity.compute))
    formulas = [f"[{one.__name__}](#formula-{one.__name__})" for one in formulas_of(quantity.compute)]
    yield from ("", f"Formulas: {', '.join(formulas) or 'none; it is read, counted or looked up'}.")
    links = [f"[{rule}](rules/{rule}.md)" for rule in rules.that_need(name)]
    yield from ("", f"Rules that use it: {', '.join(links) or 'none'}.")


def _formula(formula: FunctionType) -> Iterator[str]:
    yield from _paragraphs(formula)
    if known := _doctest(formula):
        yield from ("", "Known number, checked by a test:", "", "```python", *known, "```")
    body = _body(formula)
    if len(body) <= MOST_LINES:
        yield from ("", "As computed:", "", "```python", *body, "```")


def _texts(function: Callable[..., Any]) -> list[str]:
    return (inspect.getdoc(function) or "").split("\n\n")


def _paragraphs(function: Callable[..., Any]) -> Iterator[str]:
    """The description for a builder: inputs, result and source each start a paragraph of their own."""
    texts = [_plain(text) for text in _texts(function) if not text.startswith(">>>")]
    for number, text in enumerate(_split(texts)):
        yield from ([""] if number else [])
        word = next((word for word in _HEADINGS if text.startswith(word)), "")
        yield f"{_HEADINGS[word]} {md(text.removeprefix(word).strip())}" if word else md(text)


def _plain(text: str) -> str:
    """A text without the marks and the words of Python."""
    return re.sub(r"\b(?:Raises )?(?:ValueError|Contradiction)\b", "Refused", " ".join(text.replace("``", "").split()))


def _split(texts: Iterable[str]) -> Iterator[str]:
    for text in texts:
        yield from (part for part in re.split(r"\s*(?=\b(?:Args|Returns|Source):)", text) if part)


def _doctest(function: Callable[..., Any]) -> list[str]:
    found = [text for text in _texts(function) if text.startswith(">>>")]
    return "\n".join(found).splitlines()


def _body(function: FunctionType) -> list[str]:
    """A function's code without its docstring."""
    code = dedent(inspect.getsource(function))
    start, end = code.find('"""'), code.rfind('"""')
    return (code[:start].rstrip() + code[end + 3 :]).rstrip().splitlines() if end > start else code.splitlines()
