"""What a quantity or a rule speaks about: the build, a cylinder, a valve type, or one valve."""

from __future__ import annotations

from functools import cache
from typing import NamedTuple

VALVE_TYPES = ("intake", "exhaust")


class Subject(NamedTuple):
    """A cylinder's number, a valve type, both (one valve) or neither (the build)."""

    cylinder: int | None = None
    valve: str | None = None

    @property
    def key(self) -> str:
        """``3/exhaust``, ``exhaust``, ``3`` or an empty string."""
        return "/".join(str(part) for part in (self.cylinder, self.valve) if part is not None)

    @property
    def text(self) -> str:
        """In words: ``cylinder 3 exhaust``."""
        words = [f"cylinder {self.cylinder}"] if self.cylinder is not None else []
        return " ".join([*words, self.valve] if self.valve else words)

    @property
    def order(self) -> tuple[int, int]:
        """Cylinders in order, intake before exhaust, wider subjects first."""
        valve = VALVE_TYPES.index(self.valve) + 1 if self.valve else 0
        return (self.cylinder or 0, valve)


BUILD = Subject()


@cache
def subjects(for_each: str, cylinders: int) -> tuple[Subject, ...]:
    """All subjects of a kind in a build of so many cylinders, in order."""
    numbers: list[int | None] = list(range(1, cylinders + 1)) if for_each in ("cylinder", "valve") else [None]
    valves: tuple[str | None, ...] = VALVE_TYPES if for_each in ("valve_type", "valve") else (None,)
    return tuple(Subject(number, valve) for number in numbers for valve in valves)
