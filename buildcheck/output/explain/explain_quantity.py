"""Explains a named quantity: what it is, the formulas behind it with their sources, and the rules that ask for it."""

from __future__ import annotations

import inspect
from collections.abc import Callable, Iterator
from types import CodeType, FunctionType, ModuleType
from typing import Any

from buildcheck.build.facts import Quantity
from buildcheck.rules.rule import RuleSet

_FORMULAS = "buildcheck.formulas."


def explain_quantity(name: str, quantity: Quantity, rules: RuleSet) -> Iterator[str]:
    """All there is to know of a quantity, line by line."""
    yield f"{name}: {quantity.title}"
    yield f"  {quantity.kind} for each {quantity.per.replace('_', ' ')}"
    yield from _description(quantity.compute)
    for formula in formulas_of(quantity.compute):
        yield f"formula {formula.__name__}:"
        yield from (f"  {line}".rstrip() for line in _description(formula))
    yield f"rules that use it: {', '.join(rules.that_need(name)) or 'none'}"


def _description(function: Callable[..., Any]) -> Iterator[str]:
    """The description of a function for a builder: without its examples in Python and its markup."""
    paragraphs = (inspect.getdoc(function) or "").split("\n\n")
    kept = [text for text in paragraphs if not text.lstrip().startswith(">>>")]
    yield from "\n\n".join(kept).replace("``", "").splitlines()


def formulas_of(compute: Callable[..., Any]) -> list[FunctionType]:
    """The formulas that a computation names, itself or through helpers of its own module, in order of use."""
    found: dict[FunctionType, None] = {}
    waiting, seen = [compute], set()
    while waiting:
        function = waiting.pop(0)
        if not isinstance(function, FunctionType) or function in seen:
            continue
        seen.add(function)
        if function.__module__.startswith(_FORMULAS):
            found[function] = None
        elif function.__module__ == compute.__module__:
            waiting += _named(function)
    return list(found)


def _named(function: FunctionType) -> Iterator[FunctionType]:
    """Functions that a function's code names: globals, and attributes of modules among them."""
    names = list(_names(function.__code__))
    values = [function.__globals__[name] for name in names if name in function.__globals__]
    modules = [value for value in values if isinstance(value, ModuleType) and value.__name__.startswith(_FORMULAS)]
    values += [getattr(module, name) for module in modules for name in names if hasattr(module, name)]
    yield from (value for value in values if isinstance(value, FunctionType))


def _names(code: CodeType) -> Iterator[str]:
    yield from code.co_names
    for constant in code.co_consts:
        if isinstance(constant, CodeType):
            yield from _names(constant)
