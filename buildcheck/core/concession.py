"""A team's concessions: leave to use what does not meet a requirement (ISO 9000)."""

from __future__ import annotations

from buildcheck.core.problem import Place
from buildcheck.record import Record


class Concession(Record):
    """A granted concession with its worst accepted value."""

    up_to: str
    because: str
    accepted_by: str
    place: Place


class IdleConcession(Record):
    """A concession that covers nothing, and why."""

    text: str
    reason: str
    place: Place
