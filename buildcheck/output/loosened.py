"""Limits that a team or a build has loosened: named in the verdict and in every format, each with its reason."""

from __future__ import annotations

from buildcheck.app.build_check import CheckedBuild
from buildcheck.core.problem import Place
from buildcheck.record import Record

_BY = {"rule": "rule file of the team"}


class Loosened(Record):
    """One side of a rule whose limit in force lets through more than one that it displaced; texts as written."""

    rule: str
    side: str
    own: str
    now: str
    by: str
    because: str
    place: Place

    @property
    def text(self) -> str:
        """``RULE at least 0.030 in → 0.020 in by the build, because …``."""
        change = f"{self.side.replace('_', ' ')} {self.own} → {self.now}"
        return f"{self.rule} {change} by the {self.by}, because {self.because}"


def loosened_limits(checked: CheckedBuild) -> list[Loosened]:
    """All loosened limits of a build, by rule; none while its files have errors."""
    if checked.problems:
        return []
    return [
        Loosened(rule.id, side, displaced[0].limit.text, now.limit.text, _by(now.origin), now.because, now.limit.place)
        for rule in checked.rules.rules
        for side in rule.bounds
        if checked.limits.loosened(rule, side, checked.facts)
        for *displaced, now in (checked.limits.stated(rule, side),)
    ]


def _by(origin: str) -> str:
    return _BY.get(origin, origin)
