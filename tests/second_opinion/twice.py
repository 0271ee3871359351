"""Builds of the repository and drawn ones: what the product told of each by one command, beside the second opinion."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

import rules_again
from allowed_lengths import Allowed, Engine
from drawn_builds import lay_out
from fewest_lengths import Key, Stated, ordered, with_those_assumed, with_uncertainty
from product import answer
from rod_conventions import as_measured, stock_lengths
from rules_again import Judged, in_millimetres, is_metric
from thorough import sample
from written_amounts import INCH, files

ROOT = Path(__file__).parent.parent.parent
SHIPPED = ["example_build", *(f"tests/builds/{one.name}" for one in sorted((ROOT / "tests/builds").iterdir()))]
DRAWN = sample([f"drawn {number}" for number in range(45)], 15)
FREE, FIXED = 0.004 * INCH, 0.0002 * INCH
"""How far two ways of weighing the same readings may part at an interval's end, m: where marks are fitted, or not."""


@dataclass(frozen=True)
class Twice:
    """A build with what the product told of it, and what the second computation found."""

    result: dict[str, Any]
    engine: Engine
    wanted: dict[Key, Allowed]

    @property
    def slack(self) -> float:
        return FREE if self.engine.nut else FIXED

    @property
    def measured(self) -> set[Key]:
        return {(entry["cylinder"], entry["valve"]) for entry in self.engine.data["marks"]["valves"]}

    def lengths(self) -> dict[Key, Stated | None]:
        """What the product orders for each valve."""
        return {
            (one["cylinder"], one["valve"]): _stated(line)
            for line in self.result["order"]["lines"]
            for one in (*line["serves"], *line["assumed"])
        }

    @cached_property
    def either(self) -> tuple[dict[Key, Stated | None], dict[Key, Stated | None]]:
        """The second opinion's order with every span shorter, and longer, by the slack."""
        less, more = (ordered(self.engine, with_uncertainty(self.wanted, by)) for by in (-self.slack, self.slack))
        return less, more

    @cached_property
    def judged(self) -> tuple[Judged, ...]:
        """Every rule that is worked out again, on what it is about."""
        found = tuple(self._judged())
        return tuple(map(in_millimetres, found)) if is_metric(self.engine.data) else found

    def _judged(self) -> Iterator[Judged]:
        for group in (rules_again.gaps, rules_again.springs, rules_again.marks, rules_again.room_above):
            yield from group(self.engine)
        if all(self.lengths().values()):
            yield from rules_again.buckling(self.engine, self._overall())

    def _overall(self) -> dict[str, tuple[float, int]]:
        """The longest stock pushrod of each valve type over both ends, m, and a cylinder that has it."""
        rods, stock = self.engine.data["pushrods"], stock_lengths(self.engine.data["pushrods"])
        longest: dict[str, tuple[float, int]] = {}
        for (cylinder, valve), stated in self.lengths().items():
            assert stated
            longest[valve] = max(longest.get(valve, (0.0, 0)), (stock[stated] - as_measured(rods, "overall"), cylinder))
        return longest


def _stated(line: dict[str, Any]) -> Stated | None:
    return (round(line["length"]["si"], 9), line["stated_as"], line.get("gauge_hole") or "") if line["stock"] else None


def all_builds(top: Path) -> dict[str, Twice]:
    """All of them, checked by one command each for the drawn and the repository's."""
    folders = {name: lay_out(top / name.replace(" ", "-"), int(name.split()[1])) for name in DRAWN}
    folders |= {name: ROOT / name for name in SHIPPED}
    asked = ([str(top)], [str(ROOT / name) for name in SHIPPED])
    result = {Path(one["folder"]).name: one for paths in asked for one in answer("check", *paths)["builds"]}
    return {name: _twice(result[folder.name], folder) for name, folder in folders.items()}


def _twice(result: dict[str, Any], folder: Path) -> Twice:
    engine = Engine(files(folder))
    return Twice(result, engine, with_those_assumed(engine))
