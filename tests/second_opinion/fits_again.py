"""What all trials of a valve say together: the pivot's height, whether they agree, and marks that moved.

Each rule comes with every kind in which it may end: one, or more where a limit lies so near that two ways of weighing
the same readings may part.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import combinations
from math import sqrt
from typing import Any

from allowed_lengths import read
from height_scan import STEP, Scan
from readings_again import Valve, centre_at_narrowest, lower, scanned
from scipy.stats import chi2
from written_amounts import INCH, one

LIMIT = 0.050 * INCH
SURELY, HARDLY = 0.02, 0.001
"""Chances of readings as bad as these: above the one they agree for anybody, below the other for nobody."""


@dataclass(frozen=True)
class Fitted:
    """One measured valve with a roller, and how well each height of its pivot fits."""

    valve: Valve
    scan: Scan

    @property
    def agree(self) -> set[str]:
        """A lone reading is out beyond its expanded uncertainty; more of them by their chance together."""
        if self.scan.readings == 1:
            beyond = self.scan.least / 4
            return kinds(beyond < 1.03, beyond > 0.97)
        chance = float(chi2.sf(self.scan.least, self.scan.readings - 1))
        return kinds(chance > HARDLY, chance < SURELY)

    @property
    def magnitudes(self) -> tuple[float, float]:
        """The least and the greatest height error that the readings allow, m, whatever its sign."""
        inside = [low <= 0 <= high for low, high in self.scan.held]
        ends = [abs(end) for run in self.scan.held for end in run]
        return 0.0 if any(inside) else min(ends), max(ends)

    @property
    def slack(self) -> float:
        """The scan's own step, and a twentieth of the widest run: lengths in doubt are taken as straight lines here."""
        return 2 * STEP + max(high - low for low, high in self.scan.held) / 20

    @property
    def two(self) -> bool:
        """Whether heights are left on either side that are not one magnitude of unknown sign."""
        runs = self.scan.held
        lone = len(runs) == 1 or runs[0][1] > 0 or runs[-1][0] < 0
        return not lone and abs(runs[0][0] + runs[-1][1]) + abs(runs[0][1] + runs[-1][0]) > 2 * self.slack

    @property
    def at_mid_lift(self) -> set[str]:
        if self.two:
            return {"open"}
        low, high = self.magnitudes
        clear, broken = LIMIT - high, low - LIMIT
        found = kinds(clear > -self.slack, broken > -self.slack)
        return found | ({"open"} if clear < self.slack and broken < self.slack else set())

    def centre(self, error: float, expanded: float) -> tuple[float, float]:
        """The mark's centre at its narrowest, m, and its expanded uncertainty, from a height error and its own."""
        found = centre_at_narrowest(self.valve, error)
        away = max(abs(centre_at_narrowest(self.valve, error + side * expanded) - found) for side in (-1, 1))
        return found, sqrt(2 * self.valve.u_edge**2 + self.valve.tip.std_dev**2 + away**2)


def kinds(may_pass: bool, may_fail: bool) -> set[str]:
    return ({"pass"} if may_pass else set()) | ({"fail"} if may_fail else set())


def fitted(valve: Valve) -> Fitted | None:
    found = scanned(valve) if valve.rocker.roller and not valve.touches else None
    return Fitted(valve, found) if found else None


def moved(valve: Valve) -> set[str]:
    """Marks over one shim with rods of different length: under a pivot that stands fast they are one and the same."""
    found = [_pair(valve, *pair) for pair in combinations(valve.entry["trials"], 2)]
    result = [each for each in found if each]
    if not result:
        return {"notApplicable"}
    if valve.touches:
        return {"open", "notApplicable"} if any("notApplicable" in each for each in result) else {"open"}
    if any(each == {"fail"} for each in result):
        return {"fail"}
    return set().union(*result)


def _pair(valve: Valve, before: Mapping[str, Any], after: Mapping[str, Any]) -> set[str]:
    """Nothing where the rods were as long, or nobody knows, the shims differed, or there is nothing to compare."""
    if not all("length" in trial and valve.of_known_length(trial) for trial in (before, after)):
        return set()
    if abs(lower(valve, before)[0] - lower(valve, after)[0]) > 1e-9:
        return set()
    feel = one(valve.engine.data["marks"].get("zero_lash_repeatability", "0 in")) / 2
    lengths = [read(valve.engine, dict(trial)) for trial in (before, after)]
    doubt = 2 * sqrt(sum(length.u**2 + feel**2 for length in lengths))
    apart = abs(lengths[0].si - lengths[1].si)
    steps = [
        (one(was) - one(now)) ** 2 for was, now in zip(_places(before, after), _places(after, before), strict=True)
    ]
    if not steps or apart < 0.9 * doubt:
        return set()
    chance = float(chi2.sf(sum(steps) / (2 * valve.u_edge**2), len(steps)))
    data = kinds(chance > HARDLY, chance < SURELY)
    return data if apart > 1.1 * doubt else data | {"notApplicable", "pass"}


def _places(trial: Mapping[str, Any], other: Mapping[str, Any]) -> Iterator[str]:
    """Edges and lines that both trials have."""
    if "mark" in trial and "mark" in other:
        yield from (trial["mark"][edge] for edge in ("from", "to"))
    if "shut_at" in trial and "shut_at" in other:
        yield from (trial[line] for line in ("shut_at", "open_at"))
