"""What a quantity or a rule speaks about: the build, a cylinder, a valve type, or one valve."""

from __future__ import annotations

from functools import cache, lru_cache
from typing import NamedTuple

VALVE_TYPES = ("intake", "exhaust")


class Subject(NamedTuple):
    """A cylinder's number, a valve type, both (one valve) or neither (the build)."""

    cylinder: int | None = None
    valve: str | None = None

    @property
    def key(self) -> str:
        """``3/exhaust``, ``exhaust``, ``3`` or an empty string."""
        return _key(self)

    @property
    def text(self) -> str:
        """In words: ``cylinder 3 exhaust``."""
        return _text(self)

    @property
    def order(self) -> tuple[int, int]:
        """Cylinders in order, intake before exhaust, wider subjects first."""
        valve = VALVE_TYPES.index(self.valve) + 1 if self.valve else 0
        return (self.cylinder or 0, valve)


BUILD = Subject()


@lru_cache(maxsize=1000)
def _key(subject: Subject) -> str:
    return "/".join(str(part) for part in subject if part is not None)


@lru_cache(maxsize=1000)
def _text(subject: Subject) -> str:
    words = [f"cylinder {subject.cylinder}"] if subject.cylinder is not None else []
    return " ".join([*words, subject.valve] if subject.valve else words)


@cache
def subjects(for_each: str, cylinders: int) -> tuple[Subject, ...]:
    """All subjects of a kind in a build of so many cylinders, in order."""
    numbers: list[int | None] = list(range(1, cylinders + 1)) if for_each in ("cylinder", "valve") else [None]
    valves: tuple[str | None, ...] = VALVE_TYPES if for_each in ("valve_type", "valve") else (None,)
    return tuple(Subject(number, valve) for number in numbers for valve in valves)


@cache
def valve_type(valve: str | None) -> Subject:
    """A valve type alone, on no cylinder."""
    return Subject(None, valve)


@cache
def valves_of_type(valve: str | None, cylinders: int) -> tuple[Subject, ...]:
    """All valves of a type in a build of so many cylinders, in order."""
    return tuple(subject for subject in subjects("valve", cylinders) if subject.valve == valve)


@cache
def on_each_cylinder(subject: Subject, cylinders: int) -> tuple[Subject, ...]:
    """A build or valve type as the cylinders that it is of; itself where there are none yet."""
    return tuple(subject._replace(cylinder=number) for number in range(1, cylinders + 1)) or (subject,)
