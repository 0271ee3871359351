"""One rule as data: what it judges, for whom, its limits, and why."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cached_property
from typing import Any

from buildcheck.core.problem import Place
from buildcheck.core.value import Value
from buildcheck.formulas.decision import noise
from buildcheck.record import Record
from buildcheck.rules.expression import Expression, names

BOUNDS = ("at_least", "at_most")
FUEL, PETROL = "block.fuel", "petrol"


class Limit(Record):
    """One bound: for all subjects, or for each valve type. ``text`` is it as written.

    ``metric`` is the bound of builds in millimetres, where the rule writes one for each unit system.
    """

    trees: Mapping[str, Expression]
    text: str
    place: Place
    metric: Limit | None = None

    def in_system(self, system: str) -> Limit:
        """The bound of builds in ``inch`` or ``metric`` units."""
        return self.metric if system == "metric" and self.metric is not None else self

    def tree(self, valve: str | None) -> Expression | None:
        """The bound for a valve type."""
        return self.trees.get(valve or "") or self.trees.get("")


class Bound(Record):
    """The limit in force on one side of a rule, and who set it."""

    limit: Limit
    origin: str
    because: str


class Loosest(Record):
    """The value beyond which no team and no build may set the limit of a rule. ``text`` is it as written."""

    value: Value
    text: str


class Fix(Record):
    """What to do if the rule fails, for builds with the values in ``when``; for all if that is empty.

    ``if_it_repeats``: what to do if the rule fails again after that; empty if the text is all.
    """

    when: Mapping[str, tuple[str, ...]]
    text: str
    if_it_repeats: str = ""


class Example(Record):
    """A rule's own test: given these values, the result is of this kind."""

    given: Mapping[str, Any]
    gives: str
    place: Place


class Rule(Record):
    """A rule as loaded: its arithmetic is parsed and its kinds agree."""

    __slots__ = ("__dict__",)

    id: str
    title: str
    for_each: str
    applies: Mapping[str, tuple[str, ...]]
    quantity: Expression
    quantity_text: str
    kind: str
    bounds: Mapping[str, Limit]
    loosest: Loosest | None
    level: str
    due: str
    open_blocks: bool
    at_zero: str
    concedable: bool
    why: str
    fixes: tuple[Fix, ...]
    source: str
    caution: str
    controls: str
    fuels: tuple[str, ...]
    """Fuels for which its own limits hold; empty: for all."""
    follows: tuple[str, ...]
    examples: tuple[Example, ...]
    place: Place
    area: str
    shipped: bool
    replaces: Rule | None = None
    """The shipped rule that it replaces."""
    since: str = ""
    """A day such as 2026-11-28: closed builds accepted before it are informed, and not blocked."""
    inherits_control: bool = False
    """Whether ``controls`` is kept from the rule that it replaces, as its own file leaves the key out."""

    @cached_property
    def own_bounds(self) -> Mapping[str, Mapping[str, Bound]]:
        """Its own bounds by side, by the unit system of a build: empty for no build."""
        return {
            system: {side: Bound(limit.in_system(system), "rule", self.source) for side, limit in self.bounds.items()}
            for system in ("", "inch", "metric")
        }

    def is_beyond_loosest(self, side: str, limit: Value) -> bool:
        """Whether a limit lets through more than any limit of this rule may."""
        if self.loosest is None:
            return False
        end = self.loosest.value.si
        return (end - limit.si if side == "at_least" else limit.si - end) > noise(end, limit.si)

    @property
    def fix(self) -> Fix:
        """The fix for a build that no variant fits."""
        return self.fixes[-1]

    def names(self) -> Iterator[str]:
        """All names this rule needs: its quantity's, its bounds' and those it applies by."""
        yield from names(self.quantity)
        for limit in self.bounds.values():
            for tree in limit.trees.values():
                yield from names(tree)
        yield from self.applies
        if self.fuels:
            yield FUEL


class RuleSet(Record):
    """Rules in order of their ids."""

    __slots__ = ("__dict__",)

    rules: tuple[Rule, ...]

    @cached_property
    def _by_id(self) -> dict[str, Rule]:
        return {rule.id: rule for rule in self.rules}

    @cached_property
    def _by_control(self) -> dict[str, Rule]:
        return {rule.controls: rule for rule in reversed(self.rules)}

    @cached_property
    def _by_name(self) -> dict[str, dict[str, Rule]]:
        found: dict[str, dict[str, Rule]] = {}
        for rule in self.rules:
            for name in rule.names():
                found.setdefault(name, {})[rule.id] = rule
        return found

    def __getitem__(self, rule_id: str) -> Rule:
        return self._by_id[rule_id]

    def __contains__(self, rule_id: object) -> bool:
        return rule_id in self._by_id

    def controlling(self, limit: str) -> Rule | None:
        """The rule that controls a named limit."""
        return self._by_control.get(limit)

    def that_need(self, name: str) -> Mapping[str, Rule]:
        """The rules that need a quantity or a field, by id and in order of it."""
        return self._by_name.get(name, {})
