"""Rules of marks, trials and crank angles worked out again, valve by valve, from what the files say of each reading."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import sqrt
from typing import Any

from allowed_lengths import Engine, read
from events_again import Cam
from height_scan import Reading, Scan, middle, scan
from pivot_height import Rocker
from rules_again import Judged, exactly, magnitude, measured, tip_of
from uncertainties import UFloat, ufloat
from written_amounts import INCH, gauge, one, quantity


@dataclass(frozen=True)
class Untold:
    """A rule that cannot be determined on a valve, so ends open without a value."""

    rule: str
    valve: str
    cylinder: int | None
    kind: str = "open"


@dataclass(frozen=True)
class Valve:
    """One measured valve, and the build that it belongs to."""

    engine: Engine
    entry: dict[str, Any]

    @property
    def key(self) -> tuple[int, str]:
        return self.entry["cylinder"], self.entry["valve"]

    @property
    def last(self) -> dict[str, Any]:
        return dict(self.entry["trials"][-1])

    @property
    def stands(self) -> dict[str, Any]:
        """The trial whose pivot's height is required: under a nut the last of known length."""
        own = [trial for trial in self.entry["trials"] if "length" in trial or not self.engine.nut]
        return dict(own[-1])

    @property
    def rocker(self) -> Rocker:
        return self.engine.rocker(self.key[1])

    @property
    def tip(self) -> UFloat:
        return tip_of(self.engine, self.key[1])

    @property
    def u_edge(self) -> float:
        return gauge(self.engine.data["marks"]["mark_gauge"])

    def field_value(self, trial: Mapping[str, Any], field: str) -> Any:
        """A field of a trial, or of all of them."""
        return trial.get(field, self.engine.data["marks"].get(field))

    def edges(self, trial: Mapping[str, Any]) -> tuple[UFloat, UFloat] | None:
        if "mark" not in trial:
            return None
        start, end = (measured(trial["mark"][edge], self.u_edge) for edge in ("from", "to"))
        return start, end

    def reaches(self, trial: Mapping[str, Any]) -> bool:
        """Whether the mark runs to an edge of the tip, so that its width is a lower bound."""
        start, end = self.edges(trial) or (exactly(1.0), exactly(0.0))
        return start.nominal_value <= 1e-9 or end.nominal_value >= self.tip.nominal_value - 1e-9

    def of_known_length(self, trial: Mapping[str, Any]) -> bool:
        """Whether its pushrod can be held against the last's: of no stand-in for a solid lifter is the height drawn."""
        kinds = {self.field_value(each, "lifter") for each in (trial, self.last)}
        return len(kinds) == 1 or "hydraulic" in self.engine.data["cam"]["lifter"]["type"]

    @property
    def touches(self) -> bool:
        """Whether its rocker was found on the retainer."""
        gap = gap_of(self.engine, self.key, "rocker_to_retainer")
        return gap is not None and gap.nominal_value <= 0


def gap_of(engine: Engine, key: tuple[int, str], name: str) -> UFloat | None:
    """A clearance of one valve: its own where it differs, else its type's."""
    data = engine.data["clearances"]
    found = data[key[1]].get(name)
    for own in data.get("each", []):
        if (own["cylinder"], own["valve"]) == key:
            found = own.get(name, found)
    if found is None:
        return None
    apart = isinstance(found, dict)
    return measured(found["value"] if apart else found, gauge(found["gauge"] if apart else data["gauge"]))


def readings(engine: Engine) -> Iterator[Judged | Untold]:
    for entry in engine.data["marks"]["valves"]:
        valve = Valve(engine, entry)
        yield heel(valve)
        if "mark" in valve.last:
            yield from (Untold(one.rule, one.valve, one.cylinder) if valve.touches else one for one in marks(valve))


def heel(valve: Valve) -> Judged | Untold:
    """From where the crank stood to the nearer end of the base circle, in degrees."""
    cylinder, kind = valve.key
    if "crank" not in valve.entry:
        return Untold("measured-on-heel", kind, cylinder)
    read_at = quantity(valve.entry["crank"])
    clear = Cam(valve.engine.data).to_the_heels_end(valve.key, read_at.si)
    value = ufloat(clear, read_at.u) if read_at.u else exactly(clear)
    return Judged("measured-on-heel", kind, value, least=10.0, cylinder=cylinder)


def marks(valve: Valve) -> Iterator[Judged | Untold]:
    (cylinder, kind), (start, end) = valve.key, valve.edges(valve.last) or (exactly(0.0), exactly(0.0))
    where = {"valve": kind, "cylinder": cylinder}
    off = magnitude(start + end - valve.tip) / 2
    yield Judged("mark-position-hint", value=off, most=0.030 * INCH, **where)
    turns = valve.field_value(valve.last, "turns_of_crank")
    yield (
        Untold("crank-turned-twice", **where)
        if turns is None
        else Judged("crank-turned-twice", value=exactly(float(turns)), least=2.0, **where)
    )
    yield from lines(valve)
    gives_way = valve.field_value(valve.last, "lifter") == "hydraulic"
    if not valve.rocker.roller:
        width = end - start - measured(valve.engine.data["marks"].get("contact_band", "0 in"))
        share = Judged("mark-full-contact", value=width / valve.tip, least=0.25, **where)
        yield Untold("mark-full-contact", **where) if gives_way or valve.reaches(valve.last) else share


def lines(valve: Valve) -> Iterator[Judged]:
    """How far the line that is farthest out lies outside the mark, beyond what both may be misread; zero inside."""
    (cylinder, kind), edges = valve.key, valve.edges(valve.last)
    gives_way = valve.field_value(valve.last, "lifter") == "hydraulic"
    if edges is None or gives_way or "shut_at" not in valve.last or not valve.rocker.roller:
        return
    stood = [measured(valve.last[line], valve.u_edge) for line in ("shut_at", "open_at")]
    out = [apart for line in stood for apart in (edges[0] - line, line - edges[1])]
    beyond = max(0.0, *(apart.nominal_value - 2 * apart.std_dev for apart in out))
    yield Judged("lines-inside-mark", kind, exactly(beyond), most=0.0, cylinder=cylinder)


def lower(valve: Valve, trial: Mapping[str, Any]) -> tuple[float, float]:
    """How much lower a trial's pivot stood than the one asked of, m, and the standard uncertainty of that."""
    rocker, rockers = valve.rocker, valve.engine.data["rockers"]
    if rockers["adjuster"] != "nut":
        shims = [one(each.get("shim", rockers.get("shim", "0 in"))) for each in (trial, valve.stands)]
        return shims[1] - shims[0], 0.0
    repeats = one(valve.engine.data["marks"].get("zero_lash_repeatability", "0 in")) / 2
    here, last = read(valve.engine, dict(trial)), read(valve.engine, valve.stands)
    return (last.si - here.si) / rocker.per_height, sqrt(here.u**2 + repeats**2) / rocker.per_height


def scanned(valve: Valve) -> Scan | None:
    """All trials of the valve together; widths of a lifter that can give way and of marks cut short left out.

    Where the ink band was not measured, lines alone are told of, which it does not move.
    """
    band = quantity(valve.engine.data["marks"].get("contact_band", "0 in"))
    fixed = valve.engine.data["rockers"]["adjuster"] != "nut"
    known = [trial for trial in valve.entry["trials"] if fixed or "length" in trial]
    trials = [_reading(valve, trial) for trial in known if fixed or valve.of_known_length(trial)]
    if "contact_band" not in valve.engine.data["marks"] and any(trial.lines for trial in trials):
        trials = [Reading(trial.lower, trial.u, None, trial.lines) for trial in trials]
    return scan(valve.rocker, trials, valve.u_edge, band.u)


def _reading(valve: Valve, trial: Mapping[str, Any]) -> Reading:
    edges, gives_way = valve.edges(trial), valve.field_value(trial, "lifter") == "hydraulic"
    width = None if edges is None or gives_way or valve.reaches(trial) else (edges[1] - edges[0]).nominal_value
    lines = (one(trial["shut_at"]), one(trial["open_at"])) if "shut_at" in trial else None
    return Reading(*lower(valve, trial), width, lines)


def centre_at_narrowest(valve: Valve, error: float) -> float:
    """From the tip's centre, m: the mark's centre carried to where the pivot stands at mid-lift, up its own stud."""
    start, end = valve.edges(valve.stands) or (exactly(0.0), exactly(0.0))
    off = (start + end - valve.tip).nominal_value / 2
    moved = middle(valve.rocker, 0.0) - middle(valve.rocker, error)
    return float(off + moved + error * valve.rocker.lean)
