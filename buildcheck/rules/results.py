"""What a rule says of a subject, and what a build adds up to."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import NamedTuple

from buildcheck.core.concession import Concession
from buildcheck.core.problem import Place, Problem
from buildcheck.core.reason import Reason
from buildcheck.core.subject import Subject
from buildcheck.core.value import Value
from buildcheck.record import Record
from buildcheck.rules.rule import Fix

KINDS = ("fail", "open", "pass", "notApplicable")


class VoidConcession(Record):
    """A concession that does not hold: the value is worse than ``up_to``, or is one that none may cover (None)."""

    place: Place
    up_to: str | None


class Result(NamedTuple):
    """One rule's word on one subject. ``level`` is the rule's own only with ``kind`` fail (SARIF 2.1.0, 3.27.10).

    ``final`` where no concession may cover it: contact, or a value that is only a bound; ``void`` is one that was
    granted and does not hold. ``fix`` is what to do about a failure on this build. ``accepted``: it would block a build
    that had not been accepted before.
    """

    rule: str
    kind: str
    level: str
    blocks: bool
    due: str
    subject: Subject
    reason: Reason | None = None
    value: Value | None = None
    bounds: Mapping[str, Value] = MappingProxyType({})
    margin: float | None = None
    places: tuple[Place, ...] = (Place("build.yaml"),)
    concession: Concession | None = None
    due_now: bool = True
    final: bool = False
    void: VoidConcession | None = None
    fix: Fix | None = None
    accepted: bool = False

    @property
    def waits(self) -> bool:
        """Whether it only says that something is not measured yet, before it is due."""
        return self.kind == "open" and self.value is None and not self.due_now

    @property
    def value_is_measured(self) -> bool:
        """Whether it judges a measured or computed value, not only that something is recorded."""
        return self.value is not None and self.value.kind != "count"

    @property
    def is_finding(self) -> bool:
        """Whether it is a finding: a failure, or something undecided that is more than not measured yet."""
        return self.kind in ("fail", "open") and not self.waits

    @property
    def place(self) -> Place:
        """Where to look first."""
        return self.places[0]


def verdict(results: tuple[Result, ...], problems: tuple[Problem, ...]) -> str:
    """fail where a failure blocks or data cannot be read, open where only open results block, else pass."""
    blocking = {result.kind for result in results if result.blocks}
    if problems or "fail" in blocking:
        return "fail"
    return "open" if blocking else "pass"
