"""Measured values: a number in SI with its kind, its uncertainty by source, and every place it came from."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from math import isfinite

from buildcheck.findings import Place
from buildcheck.formulas.decision import expanded_uncertainty

_BEYOND = "the arithmetic leaves all sensible numbers"


class Undecided(Exception):
    """The value cannot be told yet: the reason says what to measure or write down."""

    def __init__(self, reason: str, places: tuple[Place, ...] = ()) -> None:
        super().__init__(reason)
        self.reason = reason
        self.places = places


class Contradiction(Undecided):
    """The data cannot all be true: it blocks at every stage."""


class NotApplicable(Exception):
    """The value has no meaning on this build, or not on this subject."""

    def __init__(self, reason: str) -> None:
        super().__init__(reason)
        self.reason = reason


@dataclass(frozen=True, slots=True)
class Value:
    """One value: ``si`` in the kind's base unit (angles in degrees).

    ``parts`` holds what each source of uncertainty adds, as sensitivity × standard uncertainty with its sign,
    so that one reading used twice is not counted as two. ``said`` is a remark the message carries along;
    ``sign_known`` is false where only the magnitude can be told.
    """

    si: float
    kind: str
    parts: Mapping[str, float] = field(default_factory=dict)
    places: tuple[Place, ...] = ()
    said: str = ""
    sign_known: bool = True

    @property
    def expanded(self) -> float:
        """Expanded uncertainty U = 2u (k = 2), JCGM 100:2008, 5.1.2 and 6.2.1."""
        return expanded_uncertainty(self.parts.values())

    def saying(self, said: str) -> Value:
        """The same value with a remark."""
        return replace(self, said=said)


def exact(si: float, kind: str) -> Value:
    """A value without uncertainty or place: a definition, a count, a default."""
    return Value(si, kind)


def derive(kind: str, formula: Callable[..., float], *inputs: Value, said: str = "") -> Value:
    """Apply a formula to values, carrying places and uncertainty along.

    Each source of uncertainty moves all inputs that share it together, by one standard uncertainty up and
    down: half the difference is its part in the result (JCGM 100:2008, 5.1.3 note 2, with correlation kept).

    Raises Contradiction where the formula refuses the data, Undecided where the result is no finite number.

    >>> a, b = Value(3.0, "length", {"a": 0.3}), Value(4.0, "length", {"b": 0.4})
    >>> round(derive("length", lambda x, y: x + y, a, b).expanded, 12)
    1.0
    >>> derive("length", lambda x, y: x - y, a, a).expanded
    0.0
    """
    places = tuple(dict.fromkeys(place for value in inputs for place in value.places))
    try:
        result = formula(*(value.si for value in inputs))
    except ZeroDivisionError as error:
        raise Undecided("a divisor is zero", places) from error
    except OverflowError as error:
        raise Undecided(_BEYOND, places) from error
    except ValueError as error:
        raise Contradiction(str(error), places) from error
    try:
        parts = _parts(formula, inputs)
    except (ValueError, ArithmeticError) as error:
        raise Undecided(f"the uncertainty reaches into the impossible: {error}", places) from error
    if not all(map(isfinite, (result, *parts.values()))):
        raise Undecided(_BEYOND, places)
    return Value(result, kind, parts, places, said)


def _parts(formula: Callable[..., float], inputs: tuple[Value, ...]) -> dict[str, float]:
    parts = {}
    for source in dict.fromkeys(name for value in inputs for name in value.parts):
        steps = [(value.si, value.parts.get(source, 0.0)) for value in inputs]
        above = formula(*(x + step for x, step in steps))
        below = formula(*(x - step for x, step in steps))
        if part := (above - below) / 2:
            parts[source] = part
    return parts


def widened(value: Value, expanded: float, source: str) -> Value:
    """The same value with one more independent source of expanded uncertainty (k = 2)."""
    return replace(value, parts={**value.parts, source: expanded / 2}) if expanded else value
