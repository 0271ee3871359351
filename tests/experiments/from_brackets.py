"""Trial and error by builders who find zero lash between two settings of the checking pushrod.

``python tests/experiments/from_brackets.py 68`` writes the table of DEVELOPERS.md: from 0.02 to 0.2 in off on studs,
to 0.10 in on pedestals. A bracket is half a turn of the checking pushrod wide.
"""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Iterator
from math import floor
from pathlib import Path
from random import Random

from documented import write
from engines import design
from trial_and_error import ZERO, Bench, Outcome, search

from buildcheck.advice.valve_advice import Advice

TURN = 1 / 28
WIDE = TURN / 2
MOST_LENGTH, MOST_SHIM = 0.100, 0.060
"""The most by which a probe may change a pushrod or add shim, in."""


class BracketBench(Bench):
    """One valve whose zero lash lies between two settings: no clearance at the longer, some at the shorter one.

    ``too_far`` are the probes that no builder should be asked to make.
    """

    too_far: list[str]

    def __post_init__(self) -> None:
        self.too_far = []

    def mark(self, length: float, shim: float) -> None:
        """Under a nut the builder turns it until zero lash lies inside the bracket that the advice requires."""
        step = floor((length - ZERO) / WIDE)
        if not self.valve.design.fixed:
            length = ZERO + (step + self.valve.random.random()) * WIDE
        self.trials.append({"length": length, "turns": step / 2, "shim": shim, "mark": self.valve.mark(length, shim)})
        self.errors.append(self.valve.error(length, shim))

    def rows(self, trial: dict[str, object], quoted: object) -> Iterator[str]:
        """The two settings of a bracket, the mark on the second."""
        turns = float(str(trial["turns"]))
        mark = next(super().rows(trial, quoted)).partition(", ")[2]
        shim = f", shim: {mark.partition('shim: ')[2].partition(',')[0]}" if self.valve.design.fixed else ""
        yield f"turns: {turns + 0.5}, feel: tight{shim}"
        yield f"turns: {turns}, feel: slack, {mark}"

    def number(self, trial: int) -> int:
        """Two trials of marks.yaml for each mark."""
        return (trial - 1) // 2

    def follow(self, result: Advice) -> None:
        """Do what the advice says, and note a probe beyond what a probe may change."""
        before = len(self.trials)
        super().follow(result)
        if result.step.action == "read contacts" and len(self.trials) > before:
            was, now = self.trials[-2:]
            longer, thicker = (abs(float(str(now[key])) - float(str(was[key]))) for key in ("length", "shim"))
            if self.valve.design.fixed and thicker > MOST_SHIM + 1e-9:
                self.too_far.append(f"{thicker:.3f} in of shim")
            if not self.valve.design.fixed and longer > MOST_LENGTH + WIDE:
                self.too_far.append(f"{longer:.3f} in of pushrod")


KINDS: dict[str, tuple[dict[str, bool], tuple[float, ...]]] = {
    "roller, nut; lines read": ({"lines": True}, (0.02, 0.05, 0.10, 0.15, 0.20)),
    "roller, nut; marks alone": ({"lines": False}, (0.02, 0.05, 0.10, 0.15, 0.20)),
    "roller, pedestal; lines read": ({"lines": True, "fixed": True}, (0.02, 0.05, 0.10)),
    "roller, pedestal; marks alone": ({"lines": False, "fixed": True}, (0.02, 0.05, 0.10)),
}


def experiment(engines: int, seed: str, off: float, lines: bool, fixed: bool = False) -> tuple[list[Outcome], int]:
    """Every valve of so many drawn engines, and how many probes went too far."""
    random, found, made = Random(seed), [], []

    class Watched(BracketBench):
        def __post_init__(self) -> None:
            super().__post_init__()
            made.append(self)

    with tempfile.TemporaryDirectory() as folder:
        for _ in range(engines):
            found += search(design(random, fixed=fixed), random, off, lines, Path(folder), Watched)
    return found, sum(len(one.too_far) for one in made)


def accepted_soon(found: list[Outcome]) -> float:
    """The share of valves whose mark is accepted within three marks."""
    return sum(one.accepted and one.trials <= 3 for one in found) / len(found)


def row(name: str, off: float, found: list[Outcome], too_far: int) -> str:
    """One row of the table."""
    most = max(one.trials for one in found)
    return f"| {name} | {off:.3f} | {len(found)} | {100 * accepted_soon(found):.1f} % | {most} | {too_far} |"


def drawn(engines: int, name: str, off: float) -> tuple[list[Outcome], int]:
    """The valves of one row of the table; fewer engines are the first ones of the same row."""
    return experiment(engines, f"{name} {off}", off, **KINDS[name][0])


def main(engines: int) -> None:
    """Print the table and write it into DEVELOPERS.md."""
    head = "| Engine and builder | First off by, in | Valves | Accepted within 3 marks | Marks: most | Probes too far |"
    table = [row(name, off, *drawn(engines, name, off)) for name, (_, offs) in KINDS.items() for off in offs]
    write("from brackets", [head, "|---|---|---|---|---|---|", *table])


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 68)
