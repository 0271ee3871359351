"""What a check costs by builds, measured valves, trials, rules of a team and processes: a table and cost.svg.

Run by hand: ``python tests/bench/cost.py [ROUNDS]`` (default 5). CPU seconds of whole processes, minimum of the
rounds; of the processes the wall time. The picture lies beside this file.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from pathlib import Path
from resource import RUSAGE_CHILDREN, getrusage

from ratios import BUILDCHECK, ROOT, compile_code, make

PICTURE = Path(__file__).with_name("cost.svg")
DEMO = ROOT / "example_build"
WIDTH, HEIGHT, MARGIN = 250, 190, 40
MANY = 100
RULE = """\
id: shop-{number:03}
title: Coil-bind clearance of the shop
for_each: valve_type
quantity: coil_bind_clearance
at_least: 0.0{number:03} in
level: warning
why: The shop keeps a clearance of its own.
fix: Fit a longer spring or a thinner seat.
source: common practice, no published source
examples:
  - {{given: {{coil_bind_clearance: 0.600 in}}, gives: pass}}
  - {{given: {{coil_bind_clearance: -0.001 in}}, gives: fail}}
"""
TRIAL = "      - {{length: {length:.4f} in, mark: {{from: 0.145 in, to: 0.172 in}}}}\n"


def builds(folder: Path, count: int) -> None:
    """So many builds of the demo and the test builds."""
    make(folder, count)


def valves(folder: Path, count: int) -> None:
    """The demo with so many valves, each measured."""
    _demo(folder, count // 2, lambda _: 1)


def trials(folder: Path, count: int) -> None:
    """The demo with so many trials on its first valve and one on each other."""
    _demo(folder, 6, lambda number: count if number == 0 else 1)


def rules(folder: Path, count: int) -> None:
    """The demo under so many rules of the team."""
    shutil.copytree(DEMO, folder / "engine")
    if count:
        (folder / "rules").mkdir()
        (folder / "buildcheck.yaml").write_text("rules: [rules]\n", encoding="utf-8")
    for number in range(1, count + 1):
        (folder / "rules" / f"shop-{number:03}.yaml").write_text(RULE.format(number=number), encoding="utf-8")


def processes(folder: Path, count: int) -> None:
    """The builds that so many processes share."""
    make(folder, MANY)


SWEEPS: Mapping[Callable[[Path, int], None], tuple[int, ...]] = {
    builds: (1, 10, 30, 100),
    valves: (4, 8, 16, 24),
    trials: (1, 4, 8, 16),
    rules: (0, 100, 250, 500),
    processes: tuple(range(1, min(4, os.cpu_count() or 1) + 1)),
}


def _demo(folder: Path, cylinders: int, trials_of: Callable[[int], int]) -> None:
    build = folder / "engine"
    shutil.copytree(DEMO, build)
    block, marks = ((build / f"{name}.yaml").read_text(encoding="utf-8") for name in ("block", "marks"))
    order = ", ".join(map(str, range(1, cylinders + 1)))
    block = block.replace("cylinders: 6", f"cylinders: {cylinders}").replace("[1, 5, 3, 6, 2, 4]", f"[{order}]")
    (build / "block.yaml").write_text(block, encoding="utf-8")
    entries = [
        f"  - cylinder: {number // 2 + 1}\n    valve: {('intake', 'exhaust')[number % 2]}\n    trials:\n"
        + "".join(TRIAL.format(length=9.42 + 0.0005 * each) for each in range(trials_of(number)))
        for number in range(2 * cylinders)
    ]
    head = marks[: marks.index("valves:\n")]
    (build / "marks.yaml").write_text(f"{head}valves:\n{''.join(entries)}", encoding="utf-8")


def cost(sweep: Callable[[Path, int], None], count: int, rounds: int) -> float:
    """CPU seconds of one check, of the processes wall seconds: the minimum of the rounds."""
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch) / "builds"
        folder.mkdir()
        sweep(folder, count)
        cores = set(sorted(os.sched_getaffinity(0))[: count if sweep is processes else None])
        return min(_once(folder, cores, sweep is processes) for _ in range(rounds))


def _once(folder: Path, cores: set[int], wall: bool) -> float:
    before, started = getrusage(RUSAGE_CHILDREN), time.perf_counter()
    subprocess.run(
        [*BUILDCHECK, "check", "--format", "json"],
        cwd=folder,
        check=False,
        capture_output=True,
        preexec_fn=lambda: os.sched_setaffinity(0, cores),
    )
    after = getrusage(RUSAGE_CHILDREN)
    cpu = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    return time.perf_counter() - started if wall else cpu


def picture(found: Mapping[str, Sequence[tuple[int, float]]]) -> str:
    """One small plot beside the other."""
    size = f'viewBox="0 0 {WIDTH * len(found)} {HEIGHT}" font-family="sans-serif" font-size="11"'
    plots = "".join("".join(_plot(name, points, WIDTH * i)) for i, (name, points) in enumerate(found.items()))
    head = "<title>What a check costs by builds, measured valves, trials, rules and processes</title>"
    paper = '<rect width="100%" height="100%" fill="white"/>'
    return f'<svg xmlns="http://www.w3.org/2000/svg" {size}>\n{head}\n{paper}\n{plots}</svg>\n'


def _plot(name: str, points: Sequence[tuple[int, float]], left: float) -> Iterator[str]:
    most, top = max(count for count, _ in points), max(seconds for _, seconds in points)
    wide, high = WIDTH - 2 * MARGIN, HEIGHT - 2 * MARGIN
    places = [(left + MARGIN + wide * n / most, HEIGHT - MARGIN - high * s / top, n, s) for n, s in points]
    yield f'<path d="M{left + MARGIN} {MARGIN}V{HEIGHT - MARGIN}H{left + MARGIN + wide}" fill="none" stroke="#888"/>\n'
    unit = "wall s" if name == processes.__name__ else "CPU s"
    yield f'<text x="{left + MARGIN}" y="18">{name}: {unit}</text>\n'
    yield f'<path d="M{"L".join(f"{x:.1f} {y:.1f}" for x, y, *_ in places)}" fill="none" stroke="#1f5fa8"/>\n'
    for x, y, count, seconds in places:
        yield f'<circle cx="{x:.1f}" cy="{y:.1f}" r="3" fill="#1f5fa8"/>\n'
        yield f'<text x="{x:.1f}" y="{y - 7:.1f}" text-anchor="middle">{seconds:.2f}</text>\n'
        yield f'<text x="{x:.1f}" y="{HEIGHT - MARGIN + 15}" text-anchor="middle">{count}</text>\n'


def main(rounds: int) -> None:
    """Print the table, draw the picture."""
    compile_code()
    found = {sweep.__name__: [(n, cost(sweep, n, rounds)) for n in counts] for sweep, counts in SWEEPS.items()}
    print("| By | cost |\n|---|---|")
    for name, points in found.items():
        print(f"| {name} | {', '.join(f'{count}: {seconds:.2f} s' for count, seconds in points)} |")
    PICTURE.write_text(picture(found), encoding="utf-8")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 5)
