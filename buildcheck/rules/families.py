"""Limits for families of builds: between the team's and the build's own, for builds with matching fields."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from buildcheck.build.facts import Facts
from buildcheck.core.problem import Problem
from buildcheck.core.subject import BUILD
from buildcheck.core.value import NotApplicable, Undecided
from buildcheck.record import Record
from buildcheck.rules.limit_reader import RuleError
from buildcheck.rules.limits import Override, read_limits
from buildcheck.rules.rule import RuleSet
from buildcheck.rules.rule_reader import conditions
from buildcheck.yamlio.documents import Node, find, plain


class Family(Record):
    """One entry of ``families``: fields with the words that each may hold, and limits with their reasons."""

    when: Mapping[str, tuple[str, ...]]
    limits: Mapping[str, Override]

    def matches(self, facts: Facts) -> bool:
        """Whether each field of the build holds one of the words; a field that is not entered does not."""
        try:
            return all(facts.word(path, BUILD) in allowed for path, allowed in self.when.items())
        except (NotApplicable, Undecided):
            return False


def read_families(config: Node | None, rules: RuleSet) -> tuple[tuple[Family, ...], list[Problem]]:
    """The ``families`` of buildcheck.yaml in their order, and what is wrong with them."""
    node = find(config, ["families"]) if config is not None else None
    families: list[Family] = []
    problems: list[Problem] = []
    for entry in node.items if node is not None else ():
        limits, wrong = read_limits(entry, rules, "family")
        problems += wrong
        try:
            families.append(Family(conditions(entry, ["when"], plain(entry)["when"], "build"), limits))
        except RuleError as error:
            problems.append(error.problem)
    return tuple(families), problems


def family_limits(families: Sequence[Family], facts: Facts) -> Iterator[Mapping[str, Override]]:
    """The limits of each family that a build belongs to; a later one wins."""
    yield from (family.limits for family in families if family.matches(facts))
