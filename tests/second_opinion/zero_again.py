"""Zero lash, the rods chosen and what is set, valve by valve, each doubt carried by another package.

On a rocker of fixed height only: on a stud with its nut the length follows from the mark, which others work out.
"""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from functools import cached_property
from math import cos, radians, sqrt
from statistics import mean, stdev
from typing import Any

from rod_conventions import as_measured, balls, measured_convention, stands_off
from rules_again import exactly, measured
from uncertainties import UFloat, ufloat
from written_amounts import INCH, gauge, of_type, pitch, quantity

Key = tuple[int, str]


class Untold(Exception):
    """Something that was not written, without which nothing can be said."""


def _found(trials: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Without the marks that were made with the rod to be run, which is no longer at zero lash."""
    return [trial for trial in trials if "length" in trial or "turns" in trial]


@dataclass(frozen=True)
class Bench:
    """One build's files; what stands once in them is one source of doubt, however often it is used."""

    data: dict[str, Any]
    ordered: dict[Key, UFloat]
    """What the order proposes for each valve, where a length may be told, in the build's own convention."""

    @cached_property
    def written(self) -> dict[str, UFloat]:
        return {}

    def one(self, *path: str) -> UFloat:
        """A field, always the same number with the same doubt."""
        return self.once(".".join(path), self.text(*path))

    def text(self, *path: str) -> str:
        entry: Any = self.data
        for key in path:
            if key not in entry:
                raise Untold(".".join(path))
            entry = entry[key]
        return str(entry)

    def once(self, name: str, text: str, read: Callable[[str], UFloat] = measured) -> UFloat:
        """A text read once only, under its name."""
        if name not in self.written:
            self.written[name] = read(text)
        return self.written[name]

    @cached_property
    def keys(self) -> list[Key]:
        return [
            (cylinder, valve)
            for cylinder in range(1, self.data["block"]["cylinders"] + 1)
            for valve in ("intake", "exhaust")
        ]

    @cached_property
    def trials(self) -> dict[Key, list[dict[str, Any]]]:
        return {(entry["cylinder"], entry["valve"]): entry["trials"] for entry in self.data["marks"]["valves"]}

    @property
    def nut(self) -> bool:
        return bool(self.data["rockers"]["adjuster"] == "nut")

    @property
    def adjusted(self) -> bool:
        return bool(self.data["rockers"]["adjuster"] != "none")

    @property
    def solid(self) -> bool:
        return "solid" in self.data["cam"]["lifter"]["type"]

    def ratio(self, valve: str) -> float:
        return float(of_type(self.data["rockers"]["ratio"], valve))

    @cached_property
    def zeros(self) -> dict[Key, UFloat]:
        """On the lifter to be run, where that may be told of the last trial."""
        found = {}
        for key in self.trials:
            with suppress(Untold):
                found[key] = self._zero(key)
        return found

    def _zero(self, key: Key) -> UFloat:
        """Mean of the repeats, their spread joined; gauge and feel are taken to be wrong for each reading by itself.

        On a lifter of unknown height a reading repeats nothing, unless the last with a length stood on it too.
        """
        if not self.repeats(key):
            raise Untold("no length over this shim")
        readings = [self._reading(trial) + self._stood(key, trial) for trial in self.repeats(key) if self._known(trial)]
        self._stood(key, _found(self.trials[key])[-1])
        found = sum(readings) / len(readings)
        if len(readings) > 1 and (spread := stdev(one.nominal_value for one in readings)) > 0:
            found += ufloat(0, spread / sqrt(len(readings)))
        return found

    def found_apart(self, key: Key) -> UFloat | None:
        """The farthest apart of the lengths that repeat the last: on its own lifter, or on any where all are known."""
        repeats, last = self.repeats(key), _found(self.trials[key])[-1]
        if self._known(last):
            found = [self._reading(trial) + self._stood(key, trial) for trial in repeats if self._known(trial)]
        else:
            found = [self._reading(trial) for trial in repeats if self._stand_in(trial) == self._stand_in(last)]
        found.sort(key=lambda length: length.nominal_value)
        return found[-1] - found[0] if len(found) > 1 else None

    def _stand_in(self, trial: dict[str, Any]) -> tuple[str, str | None]:
        return trial.get("lifter", self.data["marks"]["lifter"]), self._cup(trial)

    def repeats(self, key: Key) -> list[dict[str, Any]]:
        """The trials over the shim of the last on which zero lash was found."""
        stands = quantity(self.trials[key][-1].get("shim", "0 in")).si
        found = _found(self.trials[key])
        return [trial for trial in found if abs(quantity(trial.get("shim", "0 in")).si - stands) < 1e-9]

    def _cup(self, trial: dict[str, Any]) -> str | None:
        """A cup height written for all is that of the lifter written for all."""
        marks = self.data["marks"]
        usual = trial.get("lifter", marks["lifter"]) == marks["lifter"]
        found: str | None = trial.get("lifter_cup_height", marks.get("lifter_cup_height") if usual else None)
        return found

    def _known(self, trial: dict[str, Any]) -> bool:
        if self._cup(trial):
            return "cup_height" in self.data["cam"]["lifter"]
        return self.solid == (trial.get("lifter", self.data["marks"]["lifter"]) == "solid")

    def _stood(self, key: Key, trial: dict[str, Any]) -> UFloat:
        """From the checker's ends to the rods', and from the trial's lifter, by its height, to the one to be run."""
        rods, cup = self.data["pushrods"], self._cup(trial)
        own = measured_convention(rods)
        off = exactly(stands_off(balls(rods["checker"]["ends"]), own) - stands_off(balls(rods["ends"]), own))
        if not self._known(trial):
            raise Untold("the cup height of the lifter that stood in, or of the one to be run")
        if not cup:
            return off
        whose = key if "lifter_cup_height" in trial else "all"
        lifter = self.once(f"cup of {whose}: {quantity(cup).si:.7f}", cup)
        return off + lifter - self.one("cam", "lifter", "cup_height")

    def _reading(self, trial: dict[str, Any]) -> UFloat:
        marks = self.data["marks"]
        feel = quantity(marks["zero_lash_repeatability"]).si / 2 if "zero_lash_repeatability" in marks else 0.0
        if "length" not in trial:
            thread = pitch(self.data["pushrods"]["checker"]["thread"])
            found = self.one("pushrods", "checker", "length_at_zero_turns") + float(trial["turns"]) * thread
            return found + (ufloat(0, feel) if feel else 0.0)
        return measured(trial["length"], gauge(marks.get("length_gauge"))) + (ufloat(0, feel) if feel else 0.0)

    def zero(self, key: Key) -> UFloat:
        if key not in self.zeros:
            raise Untold("no trial, or none that tells")
        return self.zeros[key]

    def roughly(self, valve: str) -> float:
        """A rod of the type: the middle of those measured, whatever they stood on."""
        read = [
            self._reading(_found(trials)[-1]).nominal_value for key, trials in self.trials.items() if key[1] == valve
        ]
        if not read:
            raise Untold("no rod of the type")
        return mean(read)

    @cached_property
    def tolerances(self) -> dict[Key, UFloat]:
        """Each rod may be its maker's tolerance off, by itself."""
        written = self.data["pushrods"].get("length_tolerance")
        return {key: ufloat(0, quantity(written).si / 2) if written else exactly(0.0) for key in self.keys}

    def chosen(self, key: Key) -> UFloat:
        """The rod decided on, as the build measures; until then what the order proposes."""
        rods = self.data["pushrods"]
        if "chosen" not in rods:
            if key not in self.ordered:
                raise Untold("no order")
            return self.ordered[key]
        own = [one["length"] for one in rods["chosen"].get("each", []) if (one["cylinder"], one["valve"]) == key]
        return measured(own[0] if own else rods["chosen"][key[1]]) + as_measured(rods, rods["chosen"])

    def fitted(self, key: Key) -> dict[str, Any]:
        """What was recorded of this valve once it was set."""
        entries = self.data.get("as_built", {}).get("each", [])
        return next((one for one in entries if (one["cylinder"], one["valve"]) == key), {})

    def preload_aimed(self, key: Key, counted: float = 0.0) -> UFloat:
        """By the turns given, else what is aimed at, else the middle of the maker's range.

        ``counted``: how far the turns may be off, as a standard deviation.
        """
        rockers, preload = self.data["rockers"], self.data["cam"]["lifter"]["preload"]
        turns = self.fitted(key).get("adjuster_turns", rockers.get("adjuster_turns"))
        if self.adjusted and turns is not None:
            lean = radians(quantity(self.data["pushrods"]["inclination"]).si)
            lever = cos(lean) + 1 / self.ratio(key[1]) if self.nut else 1.0
            given = ufloat(float(turns), counted) if counted else exactly(float(turns))
            return given * pitch(rockers["adjuster_thread"]) * lever
        if "aim" in preload:
            return self.one("cam", "lifter", "preload", "aim")
        return (self.one("cam", "lifter", "preload", "at_least") + self.one("cam", "lifter", "preload", "at_most")) / 2

    @cached_property
    def stated_hot(self) -> bool:
        return bool(self.data["cam"].get("lash_at", "cold") == "hot")

    def screw(self) -> UFloat:
        rockers = self.data["rockers"]
        return self.one("rockers", "screw_at") if "screw_at" in rockers else exactly(0.0)

    @property
    def lash_tolerance(self) -> UFloat:
        return self.one("cam", "lash_tolerance") if "lash_tolerance" in self.data["cam"] else exactly(0.002 * INCH)
