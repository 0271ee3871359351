"""Preload and lash, cold and hot, screws and the gauge, worked out again from the trade's definitions."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from rules_again import Judged, exactly
from uncertainties import UFloat, ufloat
from written_amounts import INCH, one
from zero_again import Bench, Key, Untold

GROWTH = {
    "aluminium alloy": (23e-6, 21.5e-6, 23.6e-6), "grey cast iron": (11e-6, 10.8e-6, 11.4e-6),
    "ductile iron": (10.9e-6, 10.6e-6, 11.2e-6), "steel": (12e-6, 11.3e-6, 11.7e-6),
    "austenitic stainless steel": (17e-6, 15.5e-6, 18.5e-6), "martensitic stainless steel": (10.5e-6, 9.9e-6, 11.1e-6),
    "titanium alloy": (9e-6, 8.4e-6, 9.6e-6),
}  # fmt: skip
"""Per kelvin near 20 degC, and the ends of what alloys of it do, from which it is as uncertain as the farther end:
Callister, Fundamentals of Materials Science and Engineering, 3rd ed, Table B.6 (grey iron, steels and titanium from
memory)."""


def judged(bench: Bench) -> Iterator[Judged | tuple[str, Key | None]]:
    """Each rule on each valve; with nothing to judge it by, only whom it is about."""
    for rule, work in RULES.items():
        for key in bench.keys:
            try:
                found = work(bench, rule, key)
            except Untold:
                yield rule, key
            else:
                if found:
                    yield found
    yield coarse(bench)


def preload(bench: Bench, key: Key) -> UFloat:
    """The pushrod's length makes it where nothing adjusts, else the turns, which are good to an eighth."""
    if bench.adjusted:
        return bench.preload_aimed(key, counted=1 / 16)
    return bench.chosen(key) + bench.tolerances[key] - bench.zero(key)


def lash(bench: Bench, key: Key) -> UFloat:
    """As it was set, else as the pushrod leaves it where nothing adjusts, else as the card asks."""
    set_to = bench.fitted(key).get("lash")
    if set_to is not None:
        return bench.once(f"lash as set {key}", set_to)
    if bench.adjusted:
        raise Untold("what was set")
    cold = (bench.zero(key) - bench.chosen(key) - bench.tolerances[key]) * bench.ratio(key[1])
    return cold + growth(bench, key[1]) * bench.ratio(key[1]) if bench.stated_hot else cold


def asked(bench: Bench, key: Key) -> UFloat:
    """Zero lash, the screw brought to where it should stand, with the preload, or less the lash as it is cold."""
    if not bench.solid:
        return bench.zero(key) + bench.screw() + bench.preload_aimed(key)
    return bench.zero(key) + bench.screw() - _stated_cold(bench, key) / bench.ratio(key[1])


def _stated_cold(bench: Bench, key: Key) -> UFloat:
    """The card's lash in the cold engine; a screw takes up a growth that cannot be determined."""
    stated = bench.one("cam", key[1], "lash")
    if not bench.stated_hot:
        return stated
    try:
        return stated - growth(bench, key[1]) * bench.ratio(key[1])
    except Untold:
        if not bench.adjusted:
            raise
        return stated


def temperature(bench: Bench, when: str) -> UFloat:
    """Of the engine, cold or warm; common practice, no published source, where it is not written."""
    written = bench.data["build"].get("temperatures", {"assembly": "68 degF", "running": "200 degF"})
    return bench.once(when, written[when], kelvin)


def kelvin(text: str) -> UFloat:
    first, _, second = text.partition(" +/- ")
    number, unit = first.split()
    share = 1.0 if unit == "degC" else 5 / 9
    at = float(number) + 273.15 if unit == "degC" else (float(number) + 459.67) * share
    return ufloat(at, float(second.split()[0]) * share / 2) if second else exactly(at)


def coefficient(bench: Bench, *path: str) -> UFloat:
    """Of one part: two parts of one metal may be two alloys."""
    table = GROWTH[bench.text(*path)]
    return bench.once(".".join(path), "", lambda _: ufloat(table[0], max(abs(end - table[0]) for end in table[1:]) / 2))


def growth(bench: Bench, valve: str) -> UFloat:
    """How far the gap at the pushrod opens as the engine warms, the tip's own growth over its head's taken off."""
    cold, running = (temperature(bench, when) for when in ("assembly", "running"))
    warmed = running - cold
    head = coefficient(bench, "heads", "material")
    heights = bench.one("heads", "height") + bench.one("block", "height")
    opened = head * bench.one("heads", "height") + coefficient(bench, "block", "material") * bench.one(
        "block", "height"
    )
    opened -= coefficient(bench, "pushrods", "material") * bench.roughly(valve)
    opened += _unexplained(bench, valve, heights.nominal_value - bench.roughly(valve)) * head.nominal_value
    stem = ("heads", "valves", valve)
    if "stem_length" not in bench.data["heads"]["valves"][valve]:
        if valve == "exhaust":
            raise Untold("the stem's figures")
        return opened * warmed
    hotter = bench.once(".".join(stem), bench.text(*stem, "stem_temperature"), kelvin) - cold
    more = coefficient(bench, *stem, "stem_material") * hotter - head * warmed
    return opened * warmed - more * bench.one(*stem, "stem_length") / bench.ratio(valve)


def _unexplained(bench: Bench, valve: str, apart: float) -> UFloat:
    """What the two heights lack of the pushrod's length, or exceed it by: it may grow or not, k = 2."""
    return bench.once(f"heights against {valve}", "", lambda _: ufloat(0.0, abs(apart) / 2))


def _preload(bench: Bench, rule: str, key: Key, hot: bool) -> Judged | None:
    if bench.solid:
        return None
    least, most = (bench.one("cam", "lifter", "preload", side) for side in ("at_least", "at_most"))
    found = preload(bench, key) - (growth(bench, key[1]) if hot else 0.0)
    return Judged(rule, key[1], found, least, most, cylinder=key[0])


def _lash_in_range(bench: Bench, rule: str, key: Key) -> Judged | None:
    if not bench.solid:
        return None
    stated = bench.one("cam", key[1], "lash")
    least, most = (stated + side * bench.lash_tolerance for side in (-1, 1))
    return Judged(rule, key[1], lash(bench, key), least, most, cylinder=key[0])


def _lash_hot(bench: Bench, rule: str, key: Key) -> Judged | None:
    if not bench.solid:
        return None
    to_be_set = bench.adjusted and "lash" not in bench.fitted(key)
    found = bench.one("cam", key[1], "lash") if to_be_set else lash(bench, key)
    if not bench.stated_hot:
        found += growth(bench, key[1]) * bench.ratio(key[1])
    return Judged(rule, key[1], found, bench.lash_tolerance, at_zero=True, cylinder=key[0])


def _adjuster(bench: Bench, rule: str, key: Key) -> Judged | None:
    """The screw comes out by what the pushrod is too short."""
    if bench.data["rockers"]["adjuster"] != "screw":
        return None
    stands = asked(bench, key) - bench.chosen(key) - bench.tolerances[key]
    stands = stands if stands.nominal_value >= 0 else -stands
    return Judged(rule, key[1], stands, most=bench.one("rockers", "adjuster_range"), cylinder=key[0])


def _repeats(bench: Bench, rule: str, key: Key) -> Judged | None:
    """Zero lash found again, under a fixed rocker, by 0.020 in."""
    apart = None if bench.nut or key not in bench.trials else bench.found_apart(key)
    return None if apart is None else Judged(rule, key[1], apart, most=exactly(0.020 * INCH), cylinder=key[0])


def coarse(bench: Bench) -> Judged | tuple[str, None]:
    """The gauge's uncertainty, or a coarser resolution, against a quarter of the finest step."""
    rods, marks = bench.data["pushrods"], bench.data["marks"]
    if "stock" not in rods or "length_gauge" not in marks:
        return "gauge-fine-enough", None
    coarsest = max(one(text) for what, text in marks["length_gauge"].items() if what != "name")
    step = min(one(entry["step"]) for entry in rods["stock"])
    return Judged("gauge-fine-enough", "", exactly(coarsest), most=exactly(step / 4))


RULES: dict[str, Callable[[Bench, str, Key], Judged | None]] = {
    "preload-in-range": lambda bench, rule, key: _preload(bench, rule, key, hot=False),
    "preload-hot": lambda bench, rule, key: _preload(bench, rule, key, hot=True),
    "lash-in-range": _lash_in_range,
    "lash-hot": _lash_hot,
    "adjuster-in-range": _adjuster,
    "repeats-agree": _repeats,
}
