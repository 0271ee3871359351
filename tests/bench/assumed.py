"""How often an order that is called ready has a valve out of range: drawn engines through files, rules and order.

    python tests/bench/assumed.py [BUILDS]

A six with hydraulic lifters under fixed rockers, preload 0.020 to 0.060 in, two types of six valves. Each engine draws
its required lengths (standard deviation between valves SD, banks apart by 0.010 in), the bias of its gauge, the error
of each reading and the tolerance of each pushrod. 'out': of the builds called ready, the share with a valve whose true
preload is out of range; 'ready': the share that is called ready. Both with 3, 4, 5 and 6 of 6 valves of a type read,
with the engine's own spread alone and with a shop's of 20 degrees of freedom, which is drawn too.
"""

from __future__ import annotations

import random
import shutil
import sys
import tempfile
from dataclasses import dataclass
from itertools import product
from pathlib import Path

TESTS = Path(__file__).parent.parent
sys.path.insert(0, str(TESTS))

from altered import shipped  # noqa: E402
from bench import GAUGES, PEDESTAL, lay_out, trials  # noqa: E402

from buildcheck.app.build_check import CheckedBuild, check_build  # noqa: E402
from buildcheck.build.build_folder import read_build  # noqa: E402
from buildcheck.core.subject import Subject  # noqa: E402

INCH = 0.0254
LOW, HIGH = 0.020, 0.060
MARK = "mark: {from: 0.146 in, to: 0.163 in}, shut_at: 0.1465 in, open_at: 0.1465 in"
READ = (1, 6, 3, 4, 2, 5)
"""Cylinders in the order in which they are read: in a vee of odd and even banks both are among the first two."""
SPREADS, STEPS, BANKS, READINGS = (0.002, 0.004, 0.008, 0.012), (0.025, 0.050), (1, 2), (3, 4, 5, 6)
VEE = ("layout: inline", "layout: vee\nbanks: {left: [1, 3, 5], right: [2, 4, 6]}")


@dataclass(frozen=True)
class Cell:
    """What is drawn alike: standard deviation between valves and stock step, in; banks; valves read of each type."""

    spread: float
    step: float
    banks: int
    readings: int
    shop: int = 0


def laid_out(folder: Path, cell: Cell, draw: random.Random) -> dict[Subject, float]:
    """An engine in a folder; the zero-lash length that each valve truly has, in."""
    shop = _shop(cell, draw) if cell.shop else ""
    bias, step = draw.gauss(0, 0.0005), draw.gauss(0, 0.010) if cell.banks == 2 else 0.0
    true, rows = {}, []
    for valve in ("intake", "exhaust"):
        base = draw.uniform(9.3, 9.5)
        for number in range(1, 7):
            true[Subject(number, valve)] = base + step * (number % 2) + draw.gauss(0, cell.spread)
    for subject, length in true.items():
        if subject.cylinder in READ[: cell.readings]:
            read = round((length + bias + draw.gauss(0, 0.001)) / 0.0005) * 0.0005
            rows.append(
                trials(f"length: {read:.4f} in, {MARK}", valve=subject.valve or "", cylinder=subject.cylinder or 0)
            )
    build = lay_out(folder, *rows, gauges=f"{shop}{GAUGES}", rockers=PEDESTAL)
    _rewrite(build / "pushrods.yaml", "step: 0.050 in", f"step: {cell.step} in")
    _rewrite(build / "pushrods.yaml", "oil_hole: 0.060 in", "oil_hole: 0.080 in")  # the checker's, as the pushrods'
    if cell.banks == 2:
        _rewrite(build / "block.yaml", *VEE)
    return true


def judged(folder: Path) -> CheckedBuild:
    """The engine under the shipped rules, at stage ordering."""
    build = read_build(folder / "engine", "engine")
    assert not build.problems, build.problems
    return check_build(build, shipped().rules, {})


def out_of_range(checked: CheckedBuild, true: dict[Subject, float], draw: random.Random) -> bool:
    """Whether the true preload of any valve is out of range with the pushrods that are ordered."""
    for line in checked.order.lines:
        for subject in (*line.serves, *line.assumed):
            preload = line.length.measured / INCH + draw.gauss(0, 0.001) - true[subject]
            if not LOW <= preload <= HIGH:
                return True
    return False


def shares(cell: Cell, builds: int, seed: int = 0) -> tuple[int, int]:
    """How many of so many engines are called ready, and how many of those have a valve out of range."""
    ready = out = 0
    for number in range(builds):
        draw = random.Random(f"{seed} {cell} {number}")
        folder = Path(tempfile.mkdtemp(prefix="assumed-"))
        true = laid_out(folder, cell, draw)
        checked = judged(folder)
        shutil.rmtree(folder)
        if checked.verdict == "pass":
            ready += 1
            out += out_of_range(checked, true, draw)
    return ready, out


def _shop(cell: Cell, draw: random.Random) -> str:
    """A shop's spread between valves with so many degrees of freedom, as marks.yaml has it."""
    deviation = cell.spread * (sum(draw.gauss(0, 1) ** 2 for _ in range(cell.shop)) / cell.shop) ** 0.5
    return f"shop: {{valves: [{{mount: pedestal, deviation: {deviation:.6f} in, freedom: {cell.shop}}}]}}\n"


def _rewrite(path: Path, old: str, new: str) -> None:
    text = path.read_text(encoding="utf-8")
    assert old in text, f"{path} does not say {old!r}"
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


def main(builds: int) -> None:
    """One line for each shop, number of banks, stock step and spread, then the totals."""
    print(f"{builds} engines a cell; ready (of these out of range) after {', '.join(map(str, READINGS))} of 6 readings")
    for shop in (0, 20):
        found = {}
        for banks, step, spread in product(BANKS, STEPS, SPREADS):
            cells = [Cell(spread, step, banks, readings, shop) for readings in READINGS]
            found |= {cell: shares(cell, builds) for cell in cells}
            row = "  ".join(f"{found[cell][0] / builds:5.0%} ({found[cell][1]})" for cell in cells)
            print(f"shop {shop:2}  banks {banks}  stock {step:.3f} in  sd {spread:.3f} in  {row}", flush=True)
        _totals(found, builds)


def _totals(found: dict[Cell, tuple[int, int]], builds: int) -> None:
    for step in STEPS:
        row = []
        for readings in READINGS:
            own = [ready for cell, (ready, _) in found.items() if (cell.step, cell.readings) == (step, readings)]
            row.append(f"{sum(own) / len(own) / builds:.0%}")
        print(f"  stock {step:.3f} in: ready after {', '.join(map(str, READINGS))} of 6 readings: {', '.join(row)}")
    assumed = [counts for cell, counts in found.items() if cell.readings < 6]
    ready, out = (sum(each) for each in zip(*assumed, strict=True))
    share = f": {out / ready:.1%}" if ready else ""
    print(f"  of {ready} called ready with valves assumed {out} have a valve out of range{share}", flush=True)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 100)
