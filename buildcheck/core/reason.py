"""Why a result is what it is, as data: the output layer alone puts it into words."""

from __future__ import annotations

from typing import NamedTuple

from buildcheck.core.subject import Subject
from buildcheck.record import Record


class Cause(NamedTuple):
    """What was undecided, contradictory or failed first: a named quantity or a field's path, of one subject."""

    name: str
    subject: Subject


class MissingInput(Record):
    """A field or file is not written. ``needed`` is the field's path where ``explanation`` names only its file.

    ``unaffected``: what can be relied on all the same, as a clause.
    """

    explanation: str
    path: str
    needed: str = ""
    unaffected: str = ""

    @property
    def named_field(self) -> str:
        """The field as the explanation and ``needed`` name it; empty if they name none."""
        return self.needed or (self.path.partition(".")[2] if self.begins_with_name else "")

    @property
    def begins_with_name(self) -> bool:
        """Whether the explanation begins with the name of the field or file, which has no capital letter."""
        file, _, keys = self.path.partition(".")
        return self.explanation.startswith((f"{keys} ", f"{file}.yaml "))


class NotDetermined(Record):
    """The readings do not determine the value: ``explanation`` names what to measure or correct.

    ``unaffected``: what can be relied on all the same, as a clause.
    """

    explanation: str
    unaffected: str = ""


class NotProven(Record):
    """More readings may bring a figure within its limit: the figure ``found`` with its limit, and what to measure."""

    explanation: str
    found: str


class Contradictory(Record):
    """Readings or fields that cannot all be true; the result's places show them."""

    explanation: str


Undetermined = MissingInput | NotDetermined | NotProven | Contradictory


class ConsequenceOf(Record):
    """Undecided only because of something else, the ``cause``."""

    cause: Cause
    reason: Undetermined


class Inconclusive(Record):
    """The uncertainty spans the limit. ``needed`` is the expanded uncertainty (SI) that would decide, None at it."""

    needed: float | None


class OutsideLimit(Record):
    """The value breaks its limit by ``short``, in SI."""

    short: float


class NotApplicableBecause(Record):
    """The rule has no meaning on this build or subject."""

    explanation: str


Reason = Undetermined | ConsequenceOf | Inconclusive | OutsideLimit | NotApplicableBecause


def underlying(reason: Reason | None) -> Reason | None:
    """The reason itself; of a consequence what is behind it, without the cause."""
    return reason.reason if isinstance(reason, ConsequenceOf) else reason
