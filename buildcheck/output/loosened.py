"""Limits that a team or a build has loosened: named in the verdict and in every format, each with its reason."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from buildcheck.app.build_check import CheckedBuild
from buildcheck.core.problem import Place
from buildcheck.record import Record
from buildcheck.rules.rule import Bound, Rule
from buildcheck.rules.rule_diff import replaced_terms

RULE_FILE = "rule file of the team"


class Loosened(Record):
    """A limit or another term of a rule in force that lets through more than one that it displaced; texts as written.

    ``side`` is ``at_least`` or ``at_most``, or names the term, such as ``level``. ``between``: the limits between the
    shipped one and the one in force, each with who set it, such as ``→ 0.100 in by the team``.
    """

    rule: str
    side: str
    shipped: str
    in_force: str
    by: str
    because: str
    place: Place
    between: str = ""

    @property
    def text(self) -> str:
        """``RULE at least 0.030 in → 0.020 in by the build, because …``."""
        change = f"{self.side.replace('_', ' ')} {self.shipped}{self.between} → {self.in_force}"
        reason = self.because if self.by == RULE_FILE else f"because {self.because}"
        return f"{self.rule} {change} by the {self.by}, {reason}"

    @property
    def is_in_build(self) -> bool:
        """Whether the build itself says so; otherwise the settings of the team do."""
        return self.by == "build"


def loosened_limits(checked: CheckedBuild) -> list[Loosened]:
    """All that was loosened for a build, by rule; nothing while its files have errors."""
    if checked.problems:
        return []
    overridden = checked.limits.overridden
    changed = [rule for rule in checked.rules.rules if rule.replaces is not None or rule.id in overridden]
    return [one for rule in changed for one in (*_limits(checked, rule), *_terms(rule))]


def _limits(checked: CheckedBuild, rule: Rule) -> Iterator[Loosened]:
    for side in rule.bounds:
        if checked.limits.loosened(rule, side, checked.facts):
            first, *between, now = checked.limits.stated(rule, side)
            by, because, chain = set_by(now.origin), reason(rule, now), chain_text(between)
            yield Loosened(rule.id, side, first.limit.text, now.limit.text, by, because, now.limit.place, chain)


def _terms(rule: Rule) -> Iterator[Loosened]:
    """What a rule file of the team judges less strictly than the shipped rule that it replaces."""
    for one in replaced_terms(rule):
        if one.laxer:
            yield Loosened(rule.id, one.what, one.before, one.after, RULE_FILE, see_file(rule), rule.place)


def chain_text(between: Sequence[Bound]) -> str:
    """Limits that were displaced in turn, each with who set it, such as ``→ 0.100 in by the team``."""
    return "".join(f" → {one.limit.text} by the {set_by(one.origin)}" for one in between)


def reason(rule: Rule, now: Bound) -> str:
    """Why a limit was set; where to find the reason if the team's own rule sets it."""
    return see_file(rule) if now.origin == "rule" else now.because


def set_by(origin: str) -> str:
    """Who set a limit, from where it is set."""
    return RULE_FILE if origin == "rule" else origin


def see_file(rule: Rule) -> str:
    """Where the reason for a team's own rule is: in its file."""
    return f"see {rule.place.file}"
