"""Why a result is what it is, as data: the output layer alone puts it into words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from buildcheck.core.subject import Subject


class Cause(NamedTuple):
    """What was undecided, contradictory or failed first: a named quantity or a field's path, of one subject."""

    name: str
    subject: Subject


@dataclass(frozen=True, slots=True)
class MissingInput:
    """A field or file is not written. ``needed`` is the field's path where ``explanation`` names only its file."""

    explanation: str
    path: str
    needed: str = ""


@dataclass(frozen=True, slots=True)
class NotDetermined:
    """The readings do not determine the value: ``explanation`` names what to measure or correct."""

    explanation: str


@dataclass(frozen=True, slots=True)
class NotProven:
    """More readings may bring a figure within its limit: the figure ``found`` with its limit, and what to measure."""

    explanation: str
    found: str


@dataclass(frozen=True, slots=True)
class Contradictory:
    """Readings or fields that cannot all be true; the result's places show them."""

    explanation: str


Undetermined = MissingInput | NotDetermined | NotProven | Contradictory


@dataclass(frozen=True, slots=True)
class ConsequenceOf:
    """Undecided only because of something else, the ``cause``."""

    cause: Cause
    reason: Undetermined


@dataclass(frozen=True, slots=True)
class Inconclusive:
    """The uncertainty spans the limit. ``needed`` is the expanded uncertainty (SI) that would decide, None at it."""

    needed: float | None


@dataclass(frozen=True, slots=True)
class OutsideLimit:
    """The value breaks its limit by ``short``, in SI."""

    short: float


@dataclass(frozen=True, slots=True)
class NotApplicableBecause:
    """The rule has no meaning on this build or subject."""

    explanation: str


Reason = Undetermined | ConsequenceOf | Inconclusive | OutsideLimit | NotApplicableBecause


def underlying(reason: Reason | None) -> Reason | None:
    """The reason itself; of a consequence what is behind it, without the cause."""
    return reason.reason if isinstance(reason, ConsequenceOf) else reason
