"""Builds with readings drawn by lot, and what the product told of each by one command, beside the second opinion."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

from allowed_lengths import Engine
from drawn_readings import lay_out
from events_again import Cam
from fits_again import Fitted, fitted
from fitted_again import parts
from product import answer, result_on
from readings_again import Untold, Valve, readings
from rules_again import Judged
from thorough import sample
from written_amounts import files

READ = sample([f"read {number}" for number in range(44)], 15)


@dataclass(frozen=True)
class ReadTwice:
    """One build: its files, what was reported of it, and where the crank is to be turned."""

    folder: Path
    outcome: dict[str, Any]
    engine: Engine

    @property
    def cam(self) -> Cam:
        return Cam(self.engine.data)

    @cached_property
    def judged(self) -> tuple[Judged | Untold, ...]:
        return (*readings(self.engine), *parts(self.engine))

    @cached_property
    def valves(self) -> tuple[Valve, ...]:
        return tuple(Valve(self.engine, entry) for entry in self.engine.data["marks"]["valves"])

    @cached_property
    def fitted(self) -> tuple[Fitted, ...]:
        return tuple(found for valve in self.valves if (found := fitted(valve)))

    def result(self, rule: str, valve: str, cylinder: int | None) -> dict[str, Any]:
        return result_on(self.outcome, rule, valve, cylinder)

    def quantity(self, name: str, valve: Valve) -> dict[str, Any] | None:
        found = self.outcome["quantities"].get(name, {}).get("{}/{}".format(*valve.key))
        return dict(found) if found else None


def read_builds(top: Path) -> dict[str, ReadTwice]:
    folders = {name: lay_out(top / name.replace(" ", "-"), int(name.split()[1])) for name in READ}
    outcome = {Path(one["folder"]).name: one for one in answer("check", str(top))["builds"]}
    return {name: ReadTwice(folder, outcome[folder.name], Engine(files(folder))) for name, folder in folders.items()}
