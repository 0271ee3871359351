"""When each valve opens and shuts, from the cam card and firing order alone, and the fewest stops of the crank."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import accumulate, combinations
from typing import Any

from written_amounts import one

Key = tuple[int, str]
TURNS = 720.0


@dataclass(frozen=True)
class Cam:
    """One build's files: angles in degrees of crank after the firing top dead centre of cylinder 1."""

    data: dict[str, Any]

    @property
    def keys(self) -> list[Key]:
        return [(cylinder, valve) for cylinder in sorted(self.order) for valve in ("intake", "exhaust")]

    @property
    def order(self) -> list[int]:
        return list(self.data["block"]["firing_order"])

    def fires(self, cylinder: int) -> float:
        """The gaps before it, added up from cylinder 1's own firing on."""
        even = [f"{TURNS / len(self.order)} deg"] * len(self.order)
        gaps = [one(gap) for gap in self.data["block"].get("firing_intervals", even)]
        at = [0.0, *accumulate(gaps)]
        return (at[self.order.index(cylinder)] - at[self.order.index(1)]) % TURNS

    def card(self, valve: str) -> tuple[float, float]:
        """Before the dead centre between exhaust and intake that the valve opens, and after it that it shuts."""
        own, ahead = self.data["cam"][valve], one(self.data["cam"].get("advance", "0 deg"))
        half, centre = one(own["duration"]) / 2, one(own["centreline"])
        nose = centre - ahead if valve == "intake" else -(centre + ahead)
        return half - nose, half + nose

    def opens(self, key: Key) -> float:
        return (self.fires(key[0]) + 360 - self.card(key[1])[0]) % TURNS

    def closes(self, key: Key) -> float:
        return (self.fires(key[0]) + 360 + self.card(key[1])[1]) % TURNS

    def to_the_heels_end(self, key: Key, crank: float) -> float:
        """Degrees to the nearer of both events; negative while the valve is lifted."""
        ends = self.opens(key), self.closes(key)
        nearest = min(min((crank - end) % TURNS, (end - crank) % TURNS) for end in ends)
        lifted = (crank - ends[0]) % TURNS < (ends[1] - ends[0]) % TURNS
        return -nearest if lifted else nearest

    def heel(self, key: Key, margin: float) -> tuple[float, float]:
        """From where to where it may be measured."""
        return (self.closes(key) + margin) % TURNS, (self.opens(key) - margin) % TURNS

    def fewest(self, keys: list[Key], margin: float) -> int:
        """The least number of stops: each can be turned on until a heel would end, so only those ends are tried."""
        ends = {key: self.heel(key, margin) for key in keys}
        spots = {round(end[1], 9) for end in ends.values()}
        serves = {frozenset(key for key in keys if within(ends[key], spot)) for spot in spots}
        best = [one for one in serves if not any(one < other for other in serves)]
        return next(size for size in range(1, len(keys) + 1) if _some_serve_all(best, size, set(keys)))


def within(heel: tuple[float, float], crank: float) -> bool:
    """A billionth of a degree aside counts as on it: the angles are sums of thirds."""
    start, end = heel
    return (crank - start + 1e-9) % TURNS <= (end - start) % TURNS + 2e-9


def _some_serve_all(serves: list[frozenset[Key]], size: int, keys: set[Key]) -> bool:
    return any(keys <= set().union(*chosen) for chosen in combinations(serves, size))


def overlap(cam: Cam) -> Iterator[tuple[str, float]]:
    """The cam's events by their names, degrees before or after the dead centre that each is told from."""
    (before, after), (earlier, later) = cam.card("intake"), cam.card("exhaust")
    yield from (("intake_opens", before), ("intake_closes", after - 180))
    yield from (("exhaust_opens", earlier - 180), ("exhaust_closes", later), ("overlap", before + later))
