"""A valve train of which the truth is known: what a gauge would read on it, and what rod it wants.

Only the tests' builds are made and checked with it. Lengths are in the build's own unit (``unit`` metres each), since
geometry does not mind. ``Train.best`` is the height of the tip circle's centre over the pivot, valve shut, at which
the mark lies as it should: half the lift for a roller, where the mark is centred for a pad. ``hidden`` is what a rod
over its full balls, on the lifter to be run, has more than the checker's reading; ``stated_less`` and ``measured_less``
are what the supplier's convention and the build's own take off a full-ball length.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from itertools import combinations
from math import sqrt
from random import Random

from buildcheck.formulas.rocker import contact_position, swept

Key = tuple[int, str]


@dataclass(frozen=True)
class Truth:
    """One valve: rod over its full balls at zero lash on the lifter to be run, and where the mark's centre then lies.

    On a stud this length puts the pivot at its best height; on a fixed mount it is the only one, and ``low`` is how
    far the pivot sits below its best height.
    """

    length: float
    centre: float
    low: float = 0.0


@dataclass(frozen=True)
class Train:
    """One engine: geometry, what hides in the checker's reading, what the rods must give, what can be bought."""

    unit: float
    valve_arm: float
    ratio: float
    lift: Mapping[str, float]
    best: Mapping[str, float]
    tip: Mapping[str, float]
    band: float
    per_height: float
    pivot_free: bool
    hidden: float
    shim: float
    rod_adds: Mapping[str, float]
    room: float
    stock: tuple[float, ...]
    stated_less: float
    measured_less: float
    valves: Mapping[Key, Truth] = field(default_factory=dict)


@dataclass(frozen=True)
class Reading:
    """What one trial shows, from the pivot-side edge of the tip: the mark's edges, and both contact lines."""

    start: float
    end: float
    shut_at: float
    open_at: float


def cap(ball_radius: float, hole: float) -> float:
    """What a hole takes off a ball's end."""
    return ball_radius - sqrt(ball_radius**2 - hole**2 / 4)


def length_read(train: Train, key: Key, shim: float | None = None) -> float:
    """What the gauge reads over the checker at zero lash: on a stud, with the pivot at its best height."""
    extra = 0.0 if shim is None else (shim - train.shim) * train.per_height
    return train.valves[key].length - train.hidden + extra


def trial(train: Train, key: Key, length: float, shim: float | None = None) -> Reading:
    """What a trial leaves on the tip, exactly: a longer rod lifts a free pivot, a shim lifts a fixed one."""
    own, valve = train.valves[key], key[1]
    if train.pivot_free:
        raised = (length + train.hidden - own.length) / train.per_height
    else:
        raised = -own.low + (0.0 if shim is None else shim - train.shim)
    arm, lift, best = train.valve_arm, train.lift[valve], train.best[valve]
    offset = sum(swept(arm, lift, best + (0.0 if train.pivot_free else own.low))) / 2 - own.centre
    near, far = (x - offset + train.tip[valve] / 2 for x in swept(arm, lift, best - raised))
    lines = (contact_position(arm, s, offset) + train.tip[valve] / 2 for s in (best - raised, best - raised - lift))
    return Reading(near - train.band / 2, far + train.band / 2, *lines)


def as_read(exact: float, step: float, noise: float, random: Random) -> float:
    """What an instrument shows: the truth with a reader's noise, to the nearest step."""
    return round((exact + random.gauss(0.0, noise)) / step) * step


def ideal(train: Train, key: Key) -> float:
    """The rod that the valve wants, over its full balls."""
    return train.valves[key].length + train.rod_adds[key[1]]


def best_order(train: Train) -> dict[Key, float]:
    """The fewest stock lengths that serve every valve, one a valve type where it can be, as their supplier states."""
    for size in range(1, len(train.stock) + 1):
        served = [found for chosen in combinations(train.stock, size) if (found := _served(train, chosen))]
        if served:
            return min(served, key=lambda found: (_mixed(found), _away(train, found)))
    raise ValueError("no stock length serves every valve")


def _served(train: Train, chosen: Iterable[float]) -> dict[Key, float] | None:
    found = {}
    for key in train.valves:
        able = [one for one in chosen if abs(one + train.stated_less - ideal(train, key)) <= train.room]
        if not able:
            return None
        found[key] = min(able, key=lambda one: abs(one + train.stated_less - ideal(train, key)))
    return found


def _mixed(found: Mapping[Key, float]) -> int:
    return len({(valve, length) for (_, valve), length in found.items()})


def _away(train: Train, found: Mapping[Key, float]) -> float:
    return sum(abs(length + train.stated_less - ideal(train, key)) for key, length in found.items())
