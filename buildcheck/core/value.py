"""Measured values: a number in SI with its kind, its uncertainty by source, and every place it came from."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import lru_cache
from itertools import chain
from math import isfinite
from operator import add, sub
from types import MappingProxyType
from typing import Any, NamedTuple

from buildcheck.core.problem import Place
from buildcheck.core.reason import Cause, Contradictory, MissingInput, NotDetermined, NotProven, Undetermined
from buildcheck.formulas.decision import expanded_uncertainty

FEW_READINGS = "degrees of freedom"
"""How a source of uncertainty begins that only further valves reduce, not a finer gauge."""
_BEYOND = "the result of the arithmetic is not a sensible number"


class Undecided(Exception):
    """The value cannot be determined yet: the reason names what to measure or write down.

    ``cause`` is what was undecided, contradictory or failed first, where that is something else. ``unaffected``: what
    can be relied on all the same, as a clause.
    """

    def __init__(
        self, reason: str, places: tuple[Place, ...] = (), cause: Cause | None = None, unaffected: str = ""
    ) -> None:
        super().__init__(reason)
        self.reason = reason
        self.places = places
        self.cause = cause
        self.unaffected = unaffected

    @property
    def undetermined(self) -> Undetermined:
        """The reason as data."""
        return NotDetermined(self.reason, self.unaffected)

    def copy_without_traceback(self) -> Undecided:
        """The same, never raised yet: what was raised holds on to the frames it passed, and so to a whole build."""
        return type(self)(self.reason, self.places, self.cause, self.unaffected)

    def caused_by(self, cause: Cause) -> Undecided:
        """The same, never raised yet, with its cause unless it has one already."""
        copy = self.copy_without_traceback()
        copy.cause = self.cause or cause
        return copy


class Missing(Undecided):
    """A file or a field is not written: nothing need be measured again."""

    def __init__(self, missing: MissingInput, places: tuple[Place, ...] = (), cause: Cause | None = None) -> None:
        needed = f" ({missing.needed} is needed)" if missing.needed else ""
        super().__init__(f"{missing.explanation}{needed}", places, cause, missing.unaffected)
        self.missing = missing

    @property
    def undetermined(self) -> Undetermined:
        """The reason as data."""
        return self.missing

    def copy_without_traceback(self) -> Missing:
        """The same, never raised yet."""
        return Missing(self.missing, self.places, self.cause)


class Contradiction(Undecided):
    """The data cannot all be true: it blocks at every stage."""

    @property
    def undetermined(self) -> Undetermined:
        """The reason as data."""
        return Contradictory(self.reason)


class Unproven(Undecided):
    """The value is known, but too few readings stand behind it: the reason is what to measure, ``found`` the value."""

    def __init__(self, reason: str, places: tuple[Place, ...], cause: Cause | None, found: str) -> None:
        super().__init__(reason, places, cause)
        self.found = found

    @property
    def undetermined(self) -> Undetermined:
        """The reason as data."""
        return NotProven(self.reason, self.found)

    def copy_without_traceback(self) -> Unproven:
        """The same, never raised yet."""
        return Unproven(self.reason, self.places, self.cause, self.found)


class NotApplicable(Exception):
    """The value has no meaning on this build, or not on this subject: its only argument is the reason."""

    @property
    def reason(self) -> str:
        """Why it has none."""
        reason: str = self.args[0]
        return reason

    def copy_without_traceback(self) -> NotApplicable:
        """The same, never raised yet."""
        return NotApplicable(*self.args)


class Value(NamedTuple):
    """One value: ``si`` in the kind's base unit (angles in degrees).

    ``parts`` holds what each source of uncertainty adds, as sensitivity × standard uncertainty with its sign,
    so that one reading used twice is not counted as two. ``said`` is a remark the message carries along;
    ``sign_known`` is false where only the magnitude is known.
    """

    si: float
    kind: str
    parts: Mapping[str, float] = MappingProxyType({})
    places: tuple[Place, ...] = ()
    remark: str = ""
    sign_known: bool = True

    @property
    def expanded(self) -> float:
        """Expanded uncertainty U = 2u (k = 2), JCGM 100:2008, 5.1.2 and 6.2.1."""
        return expanded_uncertainty(self.parts.values()) if self.parts else 0.0

    def with_remark(self, remark: str) -> Value:
        """The same value with a remark."""
        return Value(self.si, self.kind, self.parts, self.places, remark, self.sign_known)


def remarks(*remark: str) -> str:
    """Several remarks as one, each once; an empty one is none.

    >>> remarks("the aim", "", "lash taken as cold; the aim")
    'the aim; lash taken as cold'
    """
    return "; ".join(dict.fromkeys(one for text in remark for one in text.split("; ") if one))


@lru_cache(maxsize=100)
def exact(si: float, kind: str) -> Value:
    """A value without uncertainty or place: a definition, a count, a default."""
    return Value(si, kind)


def derive(kind: str, formula: Callable[..., float], *inputs: Value, remark: str | None = None) -> Value:
    """Apply a formula to values, carrying places and uncertainty along.

    Each source of uncertainty moves all inputs that share it together, by one standard uncertainty up and
    down: half the difference is its part in the result (JCGM 100:2008, 5.1.3 note 2, with correlation kept).

    The result carries the remarks of all inputs, unless ``remark`` replaces them.

    Raises Contradiction where the formula refuses the data, Undecided where the result is no finite number.

    >>> a, b = Value(3.0, "length", {"a": 0.3}), Value(4.0, "length", {"b": 0.4})
    >>> round(derive("length", lambda x, y: x + y, a, b).expanded, 12)
    1.0
    >>> derive("length", lambda x, y: x - y, a, a).expanded
    0.0
    """
    at, by_source, places_of_each, remark_of_each = _columns(inputs)
    places = merged_places(places_of_each)
    try:
        result = formula(*at)
    except ZeroDivisionError as error:
        raise Undecided("a divisor is zero", places) from error
    except OverflowError as error:
        raise Undecided(_BEYOND, places) from error
    except ValueError as error:
        raise Contradiction(str(error), places) from error
    try:
        parts = _parts(formula, at, by_source)
    except (ValueError, ArithmeticError) as error:
        raise Undecided(f"the uncertainty includes impossible values: {error}", places) from error
    return _finite(Value(result, kind, parts, places, _merged_remarks(remark_of_each) if remark is None else remark))


def _columns(
    inputs: Sequence[Value],
) -> tuple[Sequence[float], Sequence[Mapping[str, float]], Sequence[tuple[Place, ...]], Sequence[str]]:
    """The numbers, the parts by source, the places and the remarks of several values."""
    columns: Any = zip(*inputs, strict=True)
    at, _, by_source, places, remark, _ = columns
    return at, by_source, places, remark


def difference(one: Value, other: Value, remark: str | None = None) -> Value:
    """One value less another of its kind, with the uncertainty of both: what both share falls out.

    The result carries the remarks of both, unless ``remark`` replaces them.

    Source: JCGM 100:2008, 5.1.2; the sensitivities are 1 and -1 here.

    >>> a, b = Value(3.0, "length", {"a": 0.3}), Value(4.0, "length", {"b": 0.4})
    >>> round(difference(a, b).expanded, 12), difference(a, a).parts
    (1.0, {})
    """
    parts = one.parts
    if other.parts:
        parts = dict(parts)
        for source, part in other.parts.items():
            if rest := parts.pop(source, 0.0) - part:
                parts[source] = rest
    places = merged_places((one.places, other.places))
    remark = _merged_remarks((one.remark, other.remark)) if remark is None else remark
    return _finite(Value(one.si - other.si, one.kind, parts, places, remark))


def gap(one: Value, other: Value) -> tuple[float, float]:
    """One value less another of its kind, and the expanded uncertainty of that: ``difference`` without its places.

    >>> gap(Value(3.0, "length", {"a": 0.3}), exact(2.0, "length"))
    (1.0, 0.6)
    """
    if (one.parts and other.parts) or not isfinite(one.si - other.si):
        both = difference(one, other)
        return both.si, both.expanded
    return one.si - other.si, (one if one.parts else other).expanded


def _merged_remarks(remark_of_each: Sequence[str]) -> str:
    found = tuple(filter(None, remark_of_each))
    if not found:
        return ""
    return found[0] if len(found) == 1 and "; " not in found[0] else remarks(*found)


def merged_places(places_of_each: Sequence[tuple[Place, ...]]) -> tuple[Place, ...]:
    """The places of several values, each once, in their order."""
    found = tuple(filter(None, places_of_each))
    if not found:
        return ()
    first = found[0]
    if found.count(first) == len(found):  # the same of all, as of several fields from one reading
        return first
    return tuple(dict.fromkeys(chain.from_iterable(found)))


def _parts(
    formula: Callable[..., float], at: Sequence[float], by_source: Sequence[Mapping[str, float]]
) -> dict[str, float]:
    parts: dict[str, float] = {}
    uncertain = tuple(filter(None, by_source))
    for source in uncertain[0] if len(uncertain) == 1 else dict.fromkeys(chain.from_iterable(uncertain)):
        steps = [each.get(source, 0.0) for each in by_source]
        if part := (formula(*map(add, at, steps)) - formula(*map(sub, at, steps))) / 2:
            parts[source] = part
    return parts


def _finite(value: Value) -> Value:
    if isfinite(value.si) and all(map(isfinite, value.parts.values())):
        return value
    raise Undecided(_BEYOND, value.places)


def with_uncertainty(value: Value, expanded: float, source: str) -> Value:
    """The same value with one more independent source of expanded uncertainty (k = 2)."""
    return value._replace(parts={**value.parts, source: expanded / 2}) if expanded else value
