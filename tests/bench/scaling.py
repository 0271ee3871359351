"""Time and memory of a check by the number of builds: prints a table and draws it as scaling.svg beside this file.

What the first build costs, start-up with it, is taken off. Run by hand: ``python tests/bench/scaling.py [COUNT …]``
(default 10 100 1000 10000).
"""

from __future__ import annotations

import math
import os
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from statistics import median
from typing import NamedTuple

from ratios import BUILDCHECK, compile_code, make

PICTURE = Path(__file__).with_name("scaling.svg")
WIDTH, HEIGHT, LEFT, BOTTOM, TOP = 640, 320, 60, 50, 30
BUILDS_A_POINT = 300
"""Small counts are run again and again until so many builds were checked; the median counts."""


class Point(NamedTuple):
    """CPU ms for each build after the first, wall s for the run, peak memory of its largest process in MB."""

    count: int
    each: float
    wall: float
    memory: float


def measured(count: int) -> Point:
    """So many builds made and checked."""
    with tempfile.TemporaryDirectory() as scratch:
        make(Path(scratch) / "one", 1)
        make(Path(scratch) / "many", count)
        first = median(_run(Path(scratch) / "one")[0] for _ in range(9))
        runs = [_run(Path(scratch) / "many") for _ in range(max(1, min(9, BUILDS_A_POINT // count)))]
    cpu, wall, memory = (median(column) for column in zip(*runs, strict=True))
    return Point(count, (cpu - first) / (count - 1) * 1e3, wall, memory)


def _run(folder: Path) -> tuple[float, float, float]:
    before, started = os.times(), os.times().elapsed
    with open(os.devnull, "w") as nowhere:
        process = subprocess.Popen(
            [*BUILDCHECK, "check", "--format", "json"], cwd=folder, stdout=nowhere, stderr=nowhere
        )
        _, _, used = os.wait4(process.pid, 0)
    after = os.times()
    cpu = after.children_user + after.children_system - before.children_user - before.children_system
    return cpu, after.elapsed - started, used.ru_maxrss / 1024


def picture(points: Sequence[Point]) -> str:
    """CPU time for each build over the number of builds, which grows tenfold from line to line."""
    top = 10 * math.ceil(max(point.each for point in points) / 10)
    first, last = math.log10(points[0].count), math.log10(points[-1].count)

    def x(count: float) -> float:
        return LEFT + (WIDTH - LEFT - 90) * (math.log10(count) - first) / ((last - first) or 1)

    def y(each: float) -> float:
        return HEIGHT - BOTTOM - (HEIGHT - BOTTOM - TOP) * each / top

    return "".join(_lines(points, top, x, y))


def _lines(
    points: Sequence[Point], top: int, x: Callable[[float], float], y: Callable[[float], float]
) -> Iterator[str]:
    size = f'viewBox="0 0 {WIDTH} {HEIGHT}" font-family="sans-serif" font-size="13"'
    yield f'<svg xmlns="http://www.w3.org/2000/svg" {size}>\n'
    yield "<title>CPU time for each build, by the number of builds</title>\n"
    yield f'<rect width="{WIDTH}" height="{HEIGHT}" fill="white"/>\n'
    for each in range(0, top + 1, 10):
        yield f'<path d="M{LEFT} {y(each):.1f}H{WIDTH - 40}" stroke="#ccc"/>\n'
        yield f'<text x="{LEFT - 8}" y="{y(each) + 4:.1f}" text-anchor="end">{each}</text>\n'
    yield f'<text x="{LEFT - 40}" y="18">CPU ms a build; peak memory of the largest process in brackets</text>\n'
    yield f'<text x="{WIDTH / 2}" y="{HEIGHT - 8}" text-anchor="middle">builds</text>\n'
    path = "L".join(f"{x(point.count):.1f} {y(point.each):.1f}" for point in points)
    yield f'<path d="M{path}" fill="none" stroke="#1f5fa8" stroke-width="2"/>\n'
    for point in points:
        place, height = x(point.count), y(point.each)
        yield f'<circle cx="{place:.1f}" cy="{height:.1f}" r="4" fill="#1f5fa8"/>\n'
        yield f'<text x="{place:.1f}" y="{height + 22:.1f}">{point.each:.0f} ({point.memory:.0f} MB)</text>\n'
        yield f'<text x="{place:.1f}" y="{HEIGHT - BOTTOM + 18}" text-anchor="middle">{point.count}</text>\n'
    yield "</svg>\n"


def main(counts: Sequence[int]) -> None:
    """Print the table, draw the picture."""
    compile_code()
    print("| Builds | CPU a build | wall | peak memory of the largest process |\n|---|---|---|---|")
    points = []
    for count in counts:
        points.append(point := measured(count))
        print(f"| {point.count} | {point.each:.1f} ms | {point.wall:.1f} s | {point.memory:.0f} MB |", flush=True)
    PICTURE.write_text(picture(points), encoding="utf-8")


if __name__ == "__main__":
    main([int(word) for word in sys.argv[1:]] or [10, 100, 1000, 10000])
