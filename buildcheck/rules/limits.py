"""Limits in force: the rule's own, then the team's, then the build's, each traced to where it is written."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import chain

from buildcheck.build.facts import Facts
from buildcheck.core.problem import Problem
from buildcheck.core.value import NotApplicable, Undecided
from buildcheck.formulas.decision import noise
from buildcheck.record import Record
from buildcheck.rules.expression import Literal, names
from buildcheck.rules.limit_reader import RuleError, limit, refuse_crossed
from buildcheck.rules.rule import BOUNDS, Bound, Limit, Rule, RuleSet
from buildcheck.rules.rule_diff import judges_the_same
from buildcheck.yamlio.documents import Node, find


class Override(Record):
    """A team's or a build's own limits for one rule, with the reason."""

    bounds: Mapping[str, Limit]
    because: str
    origin: str


class Limits:
    """All overrides that count for one build, in its unit system (empty: of no build); a later one wins."""

    def __init__(self, *layers: Mapping[str, Override], system: str = "") -> None:
        self.layers = layers
        self.system = system
        self.overridden = frozenset(chain.from_iterable(layers))

    def in_force(self, rule: Rule) -> Mapping[str, Bound]:
        """The bounds of a rule, by side."""
        if rule.id not in self.overridden:
            return rule.own_bounds[self.system]
        found = dict(rule.own_bounds[self.system])
        for one in self.overrides(rule):
            found.update({side: self._bound(limit, one.origin, one.because) for side, limit in one.bounds.items()})
        return found

    def overrides(self, rule: Rule) -> list[Override]:
        """What the layers set for a rule, the one that counts last."""
        return [layer[rule.id] for layer in self.layers if rule.id in layer]

    def stated(self, rule: Rule, side: str) -> list[Bound]:
        """All that was said of one side, the last of it in force: by a rule that was replaced, the rule, the layers."""
        bounds = [self._bound(rule.bounds[side], "rule", rule.source)]
        if (old := _replaced(rule, side)) is not None:
            bounds.insert(0, self._bound(old.bounds[side], "shipped rule", old.source))
        return bounds + [
            self._bound(one.bounds[side], one.origin, one.because) for one in self.overrides(rule) if side in one.bounds
        ]

    def is_displaced(self, rule: Rule, side: str) -> bool:
        """Whether the limit in force on one side replaced another."""
        return _replaced(rule, side) is not None or any(side in one.bounds for one in self.overrides(rule))

    def _bound(self, limit: Limit, origin: str, because: str) -> Bound:
        return Bound(limit.in_system(self.system), origin, because)

    def loosened(self, rule: Rule, side: str, facts: Facts) -> bool:
        """Whether the limit in force lets through what any that it displaced would not, for any subject."""
        *displaced, now = self.stated(rule, side)
        return any(_lets_more(rule, side, facts, one.limit, now.limit) for one in displaced)


def _replaced(rule: Rule, side: str) -> Rule | None:
    """The rule that another replaced, if it judged the same and had a limit on this side."""
    old = rule.replaces
    return old if old is not None and side in old.bounds and judges_the_same(old, rule) else None


def names_in_force(rule: Rule, bounds: Mapping[str, Bound]) -> Iterator[str]:
    """All names that a rule is judged by under these limits, those that choose its fix included."""
    yield from rule.names()
    for bound in bounds.values():
        for tree in bound.limit.trees.values():
            yield from names(tree)
    for fix in rule.fixes:
        yield from fix.when


def _lets_more(rule: Rule, side: str, facts: Facts, before: Limit, now: Limit) -> bool:
    sign = 1 if side == "at_least" else -1
    for subject in facts.subjects(rule.for_each):
        trees = before.tree(subject.valve), now.tree(subject.valve)
        if trees[0] is None or trees[1] is None:
            continue
        try:
            old, new = (tree.evaluate(facts, subject).si for tree in trees if tree)
        except (NotApplicable, Undecided):
            continue
        if sign * (old - new) > noise(old, new):
            return True
    return False


def read_limits(root: Node | None, rules: RuleSet, origin: str) -> tuple[dict[str, Override], list[Problem]]:
    """The ``limits`` of buildcheck.yaml or build.yaml: overrides, and what is wrong with them."""
    node = find(root, ["limits"]) if root is not None else None
    overrides: dict[str, Override] = {}
    problems: list[Problem] = []
    for rule_id, entry in (node.entries if node is not None else {}).items():
        if rule_id in ("note", "part"):
            continue
        try:
            overrides[rule_id] = _override(entry, rule_id, rules, origin)
        except RuleError as error:
            problems.append(error.problem)
    return overrides, problems


def _override(entry: Node, rule_id: str, rules: RuleSet, origin: str) -> Override:
    if rule_id not in rules:
        raise RuleError(entry.place, f"limits.{rule_id}", f"there is no rule {rule_id}: 'buildcheck rules' lists them")
    rule = rules[rule_id]
    bounds: dict[str, Limit] = {}
    for side in BOUNDS:
        if (node := find(entry, [side])) is not None:
            if side not in rule.bounds:
                raise RuleError(
                    node.place,
                    f"limits.{rule_id}.{side}",
                    f"{rule_id} has no such side: it has {', '.join(rule.bounds)}",
                )
            bounds[side] = limit(node, rule.for_each, rule.kind, entry, [side])
            _refuse_too_loose(rule, side, bounds[side], f"limits.{rule_id}.{side}")
    refuse_crossed(bounds, f"limits.{rule_id}.")
    because = " ".join(entry.word("because").split())
    return Override(bounds, because, origin)


def _refuse_too_loose(rule: Rule, side: str, bound: Limit, path: str) -> None:
    """RuleError for a written value beyond what the rule allows anybody to set; the engine holds arithmetic to it."""
    for tree in [*bound.trees.values(), *bound.in_system("metric").trees.values()]:
        if isinstance(tree, Literal) and rule.is_beyond_loosest(side, tree.value):
            most = rule.loosest.text if rule.loosest is not None else ""
            is_fixed = most == rule.bounds[side].text
            words = "cannot be loosened" if is_fixed else f"may be set to {most} at the loosest"
            raise RuleError(bound.place, path, f"{bound.text} lets through too much: {rule.id} {words}")
