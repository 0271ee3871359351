"""What was learned from all builds, as a table and as a shared part that builds use."""

from __future__ import annotations

import json
from collections.abc import Iterator

from buildcheck.app.shop_repeatability import Pooled, Shop
from buildcheck.build.repeats import Observer
from buildcheck.core.plural import counted, plural, verb
from buildcheck.units.quantity import show

MARK = "# Written by 'buildcheck learn --write': run it again to bring it up to date, do not edit."
LEAST = 0.00001 * 0.0254
"""The smallest deviation (m) that a part may state."""


def table(shop: Shop) -> str:
    """Repeatability by gauge and reader, spread between valves by mount, each with its degrees of freedom."""
    readings = [(_observer(one), pooled) for one, pooled in shop.readings.items()]
    lines = ["Repeatability of one reading, by gauge and reader"]
    lines += list(_rows(readings, shop.system)) or ["  no length was read more than once on a fixed rocker"]
    lines += ["Spread between the valves of one type, by mount"]
    lines += list(_rows(list(shop.valves.items()), shop.system)) or ["  no build has two measured valves of one type"]
    lines += [_alike(observers) for observers in shop.alike]
    odd = f"; {counted(shop.left_out, 'length')} that {verb(shop.left_out, 'do')} not belong left out"
    lines.append(f"Learned from {counted(shop.builds, 'build')}{odd if shop.left_out else ''}.")
    return "".join(f"{line}\n" for line in lines)


def part(shop: Shop, name: str) -> str:
    """The same as a part, with how to use it."""
    lines = [MARK, f"# In marks.yaml of a build:  shop: {{uses: {name}}}", f"# From {counted(shop.builds, 'build')}."]
    if shop.readings:
        lines.append("readings:")
    for observer, pooled in shop.readings.items():
        by = f", by: {json.dumps(observer.by, ensure_ascii=False)}" if observer.by else ""
        gauge = json.dumps(observer.gauge, ensure_ascii=False)
        lines.append(f"  - {{gauge: {gauge}{by}, {_sample(pooled, shop.system)}}}")
    if shop.valves:
        lines.append("valves:")
    lines += [f"  - {{mount: {mount}, {_sample(pooled, shop.system)}}}" for mount, pooled in shop.valves.items()]
    return "".join(f"{line}\n" for line in lines)


def _sample(pooled: Pooled, system: str) -> str:
    deviation = show(max(pooled.deviation, LEAST), "length", system, 2)
    return f"deviation: {deviation}, freedom: {pooled.freedom:.0f}"


def _rows(rows: list[tuple[str, Pooled]], system: str) -> Iterator[str]:
    width = max((len(name) for name, _ in rows), default=0)
    for name, pooled in rows:
        deviation = show(pooled.deviation, "length", system, 1)
        freedom = f"{pooled.freedom:.0f} {plural(pooled.freedom, 'degree')} of freedom"
        yield f"  {name:{width}}  {deviation}  {freedom}, {counted(pooled.samples, 'sample')}"


def _observer(one: Observer) -> str:
    return f"{one.gauge or 'gauge not named'}, {one.by or 'reader not named'}"


def _alike(observers: tuple[Observer, ...]) -> str:
    names = " and ".join(repr(_observer(one)) for one in observers)
    return f"note: {names} look like one: use one spelling, so that their readings count together"
