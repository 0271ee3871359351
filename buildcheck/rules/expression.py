"""Arithmetic over names in a rule: + - * / brackets and abs(), as a closed syntax tree."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from functools import cache
from typing import Protocol

from buildcheck.core.subject import Subject
from buildcheck.core.value import Value, derive
from buildcheck.record import Record
from buildcheck.rules.dimensions import combined, dimensions
from buildcheck.units.quantity import QuantityError, parse
from buildcheck.units.unit_table import UNITS

LONGEST = 200
DEEPEST = 20

_OPERATIONS: dict[str, Callable[[float, float], float]] = {
    "+": lambda a, b: a + b,
    "-": lambda a, b: a - b,
    "*": lambda a, b: a * b,
    "/": lambda a, b: a / b,
}
_NAME = re.compile(r"[a-z][a-z0-9_]*(?:\.(?:[a-z][a-z0-9_]*|\{valve\}))*")
_NUMBER = re.compile(r"[0-9]+(?:\.[0-9]+)?(?:e-?[0-9]{1,2})?")
_FRACTION = re.compile(r"(?:[0-9]+ )?[0-9]+/[0-9]+")


class ExpressionError(ValueError):
    """The text is not arithmetic over names; the message says where it stops."""


class Named(Protocol):
    """Where names have values; what looking one up raises passes through an expression."""

    def lookup(self, name: str, subject: Subject) -> Value:
        """The value of a name for a subject, with its uncertainty and places."""


class Literal(Record):
    """A value written in the rule."""

    value: Value

    def evaluate(self, named: Named, subject: Subject) -> Value:
        """The value itself."""
        return self.value


class Name(Record):
    """A named quantity or a field's path, perhaps with {valve} in it."""

    path: str

    def evaluate(self, named: Named, subject: Subject) -> Value:
        """The value of the name."""
        return named.lookup(self.path, subject)


class Operation(Record):
    """Two sides and + - * or /."""

    operator: str
    left: Expression
    right: Expression

    def evaluate(self, named: Named, subject: Subject) -> Value:
        """The result with its uncertainty and places."""
        one, other = self.left.evaluate(named, subject), self.right.evaluate(named, subject)
        kind = combined(self.operator, one.kind, other.kind)
        return derive(kind, _OPERATIONS[self.operator], one, other)


class Magnitude(Record):
    """abs(…)."""

    inside: Expression

    def evaluate(self, named: Named, subject: Subject) -> Value:
        """The value without its sign."""
        return magnitude(self.inside.evaluate(named, subject))


Expression = Literal | Name | Operation | Magnitude


def expression(text: str) -> Expression:
    """Parse arithmetic; a text that is one quantity as the build files write it is that literal.

    >>> expression("abs(mark_offset)")
    Magnitude(inside=Name(path='mark_offset'))
    """
    if len(text) > LONGEST:
        raise ExpressionError(f"longer than {LONGEST} characters")
    for kind in dict.fromkeys(_kinds_in(text)):
        try:
            amount = parse(text, kind)
        except QuantityError:
            continue
        spread = {text: float(amount.expanded) / 2} if amount.expanded else {}
        return Literal(Value(float(amount.si), kind, spread))
    return _Parser(text).parse()


def names(tree: Expression) -> Iterator[str]:
    """All names in a tree, left to right."""
    match tree:
        case Name(path):
            yield path
        case Operation(_, left, right):
            yield from names(left)
            yield from names(right)
        case Magnitude(inside):
            yield from names(inside)
        case Literal():
            return


def kind_of(tree: Expression, kind_of_name: Callable[[str], str]) -> str:
    """The kind a tree has; KindError where its parts cannot meet."""
    match tree:
        case Literal(value):
            return value.kind
        case Name(path):
            kind = kind_of_name(path)
            dimensions(kind)
            return kind
        case Magnitude(inside):
            return kind_of(inside, kind_of_name)
        case Operation(operator, left, right):
            return combined(operator, kind_of(left, kind_of_name), kind_of(right, kind_of_name))


def magnitude(value: Value) -> Value:
    """The same value without its sign; its uncertainty is not folded at zero."""
    if value.si > 0 and value.sign_known:
        return value
    sign = -1.0 if value.si < 0 else 1.0
    parts = {source: sign * part for source, part in value.parts.items()}
    return Value(abs(value.si), value.kind, parts, value.places, value.remark)


@cache
def _unit_pattern() -> re.Pattern[str]:
    """Any unit, the longest first."""
    units = sorted(filter(None, UNITS), key=lambda unit: (-len(unit), unit))
    return re.compile("|".join(map(re.escape, units)))


def _kinds_in(text: str) -> Iterator[str]:
    """Kinds of the units in a text that starts with a digit or a sign: the readings to try for a literal."""
    if re.match(r"[-+]?[0-9]", text):
        yield from (UNITS[match.group()].kind for match in _unit_pattern().finditer(text))
        yield "ratio"


class _Parser:
    """Recursive descent; ``depth`` bounds the brackets."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.depth = 0

    def parse(self) -> Expression:
        tree = self.sum()
        if self.at < len(self.text):
            raise self.stop("+ - * / or the end")
        return tree

    def sum(self) -> Expression:
        return self.chain("+-", lambda: self.chain("*/", self.atom))

    def chain(self, operators: str, part: Callable[[], Expression]) -> Expression:
        tree = part()
        while operator := self.take(operators):
            tree = Operation(operator, tree, part())
        return tree

    def atom(self) -> Expression:
        self.space()
        if self.take("("):
            return self.bracketed()
        if (fraction := _FRACTION.match(self.text, self.at)) and (unit := self.unit(fraction.end())):
            return self.literal(fraction.group(), unit)
        if number := _NUMBER.match(self.text, self.at):
            return self.literal(number.group(), self.unit(number.end()))
        if self.text.startswith("abs(", self.at):
            self.at += len("abs(")
            return Magnitude(self.bracketed())
        if name := _NAME.match(self.text, self.at):
            self.at = name.end()
            return Name(name.group())
        raise self.stop("a name, a value with its unit, abs( or a bracket")

    def bracketed(self) -> Expression:
        self.depth += 1
        if self.depth > DEEPEST:
            raise ExpressionError(f"brackets deeper than {DEEPEST}")
        tree = self.sum()
        if not self.take(")"):
            raise self.stop("a closing bracket")
        self.depth -= 1
        return tree

    def unit(self, at: int) -> re.Match[str] | None:
        """The unit that follows a number, which a name may not run on from."""
        spaces = len(self.text[at:]) - len(self.text[at:].lstrip(" "))
        unit = _unit_pattern().match(self.text, at + spaces)
        return unit if unit is not None and not _NAME.match(self.text, unit.end()) else None

    def literal(self, number: str, unit: re.Match[str] | None) -> Expression:
        if unit is None:
            self.at += len(number)
            return Literal(Value(float(number), "ratio"))
        kind = UNITS[unit.group()].kind
        try:
            amount = parse(f"{number} {unit.group()}", kind)
        except QuantityError as error:
            raise ExpressionError(str(error)) from error
        self.at = unit.end()
        return Literal(Value(float(amount.si), kind))

    def take(self, characters: str) -> str:
        self.space()
        if self.at < len(self.text) and self.text[self.at] in characters:
            self.at += 1
            return self.text[self.at - 1]
        return ""

    def space(self) -> None:
        while self.text.startswith(" ", self.at):
            self.at += 1

    def stop(self, expected: str) -> ExpressionError:
        found = repr(self.text[self.at : self.at + 20]) if self.at < len(self.text) else "the end"
        return ExpressionError(f"{expected} was expected at character {self.at + 1}, found {found}")
