"""A team's concessions: leave to use what does not meet a requirement (ISO 9000)."""

from __future__ import annotations

from dataclasses import dataclass

from buildcheck.core.problem import Place


@dataclass(frozen=True, slots=True)
class Concession:
    """A granted concession with its worst accepted value."""

    up_to: str
    because: str
    accepted_by: str
    place: Place


@dataclass(frozen=True, slots=True)
class IdleConcession:
    """A concession that covers nothing, and why."""

    text: str
    reason: str
    place: Place
