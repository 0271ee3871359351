"""Everything known of one build: its fields, and named quantities computed once."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping
from typing import Any, TypeVar, TypeVarTuple

from buildcheck.build.build_folder import Build
from buildcheck.build.field_lookup import FieldLookup
from buildcheck.core.reason import Cause
from buildcheck.core.subject import BUILD, Subject
from buildcheck.core.value import Contradiction, NotApplicable, Undecided, Value
from buildcheck.record import Record

_NOT_MADE: Any = object()
"""Marks what was not made yet; None is an answer."""

Args = TypeVarTuple("Args")
Made = TypeVar("Made")
Compute = Callable[["Facts", Subject], Value]
LimitLookup = Callable[["Facts", str, Subject], "Value | None"]

VoidLookup = Callable[["Facts", str, Subject], "Undecided | None"]
"""Facts, a field's path and a subject -> why the reading there counts as not taken; None if it applies."""


class Quantity(Record):
    """A named quantity: what it is of, its kind, the function that computes it, and its name in trade words.

    ``listed``: whether the report lists it; a limit, or what only a rule needs, is shown with the rule. ``found_at``:
    the quantity that gives the crank angle at which this one was found, if there is one.
    """

    per: str
    kind: str
    compute: Compute
    title: str
    listed: bool = True
    found_at: str = ""


class Facts(FieldLookup):
    """Fields and quantities of one build. A lookup raises Undecided or NotApplicable where there is no value."""

    def __init__(
        self, build: Build, quantities: Mapping[str, Quantity], limits: LimitLookup, void: VoidLookup | None = None
    ) -> None:
        super().__init__(build)
        self.quantities = quantities
        self.limit = limits
        self._void = void
        self._known: dict[tuple[str, Subject], Value | Undecided | NotApplicable] = {}
        self._made: dict[Hashable, Any] = {}

    def of(self, build: Build) -> Facts:
        """What is known of another build under the same limits."""
        return Facts(build, self.quantities, self.limit, self._void)

    def void_reason(self, path: str, subject: Subject) -> Undecided | None:
        """Why a reading counts as not taken, because the engine has changed since; None if it applies."""
        return self._void(self, path, subject) if self._void is not None else None

    def get(self, name: str, subject: Subject = BUILD) -> Value:
        """A named quantity, computed once for a subject."""
        known = self._value_or_reason(name, subject)
        if isinstance(known, Value):
            return known
        raise known.copy_without_traceback()

    def get_or_none(self, name: str, subject: Subject = BUILD) -> Value | None:
        """A named quantity, or None if it cannot be determined or has no meaning."""
        known = self._value_or_reason(name, subject)
        return known if isinstance(known, Value) else None

    def _value_or_reason(self, name: str, subject: Subject) -> Value | Undecided | NotApplicable:
        key = (name, subject)
        if (found := self._known.get(key)) is not None:
            return found
        try:
            found = self.quantities[name].compute(self, subject)
        except NotApplicable as reason:
            found = reason.copy_without_traceback()
        except Undecided as reason:
            found = reason.caused_by(Cause(name, subject))
        except ValueError as error:  # a formula refuses data that cannot be true: it blocks at every stage
            found = Contradiction(str(error), (), Cause(name, subject))
        self._known[key] = found
        return found

    def lookup(self, name: str, subject: Subject) -> Value:
        """A named quantity or a field: what a rule may name."""
        if name not in self.quantities:
            return self.field(name, subject)
        known = self._value_or_reason(name, subject)
        if isinstance(known, Value):
            return known
        raise known.copy_without_traceback()  # not by get(): each step that an error passes costs as much as ten calls

    def bound(self, name: str, subject: Subject) -> Value:
        """A named limit in force, by whichever rule controls it; Undecided if no rule does."""
        limit = self.bound_or_none(name, subject)
        if limit is None:
            raise Undecided(f"no rule controls the limit {name}: write 'controls: {name}' in the rule that sets it")
        return limit

    def bound_or_none(self, name: str, subject: Subject) -> Value | None:
        """A named limit in force, or None if no rule controls it."""
        return self.once(("bound", name, subject), self.limit, self, name, subject)

    def once(self, name: Hashable, make: Callable[[*Args], Made], *args: *Args) -> Made:
        """Something shared by several quantities, such as the order, or a valve's trials: made once."""
        found: Made = self._made.get(name, _NOT_MADE)
        if found is _NOT_MADE:
            found = self._made[name] = make(*args)
        return found


__all__ = ["Compute", "Facts", "LimitLookup", "Quantity", "VoidLookup"]
