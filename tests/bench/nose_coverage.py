"""How often the stated uncertainties of centreline and full lift hold the true ones, on simulated engines.

Run: python tests/bench/nose_coverage.py 2000
The engines are those of motion_coverage.py, read around the nose every 5 to 10 deg on a dial with steps of 0.0005 in.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np

sys.path.insert(0, str(Path(__file__).parent))

from motion_coverage import INCH, STOPS, MovingEngine, Random, drawn

from buildcheck.app.build_check import facts_as_read
from buildcheck.build.build_folder import read_build
from buildcheck.core.subject import Subject

STEP = 0.0005
FILES = {
    "build": "name: simulated\nstage: planning\n",
    "block": "layout: inline\ncylinders: 1\nfiring_order: [1]\n",
}


@dataclass(frozen=True)
class Nose:
    """One engine: how far centreline (deg) and full lift (m) are off the true ones, each with its U."""

    stop: bool
    angle: float
    angle_expanded: float
    lift: float
    lift_expanded: float

    @property
    def angle_held(self) -> bool:
        return abs(self.angle) <= self.angle_expanded

    @property
    def lift_held(self) -> bool:
        return abs(self.lift) <= self.lift_expanded


def motion(random: Random, valve: str, engine: MovingEngine, stop: bool) -> str:
    """motion.yaml as it is read around the nose."""
    wheel, step = float(random.choice([0.5, 1.0])), random.uniform(5, 10)
    shown = np.round(np.arange(engine.nose - 60 + random.uniform(-5, 5), engine.nose + 60, step), 1)
    zero = random.normal(0, wheel / 2) if stop else random.uniform(-2, 2)
    true = shown - zero + random.normal(0, wheel / 2, len(shown))
    lifts = engine.valve_lift(true) / INCH + random.normal(0, 0.0005, len(shown))
    lines = (
        f"      - {{crank: {angle + 360:.1f} deg, lift: {round(max(lift, 0) / STEP) * STEP:.4f} in}}\n"
        for angle, lift in zip(shown, lifts, strict=True)
    )
    head = f"gauge: {{name: dial, uncertainty: 0.001 in}}\nwheel: {{uncertainty: {wheel} deg, tdc: {STOPS[stop]}}}\n"
    return f"{head}valves:\n  - cylinder: 1\n    valve: {valve}\n    at: valve\n    readings:\n{''.join(lines)}"


def one(random: Random, folder: Path) -> Nose | None:
    """One engine drawn, read and computed; None if its readings are undecided."""
    valve, engine = drawn(random)
    stop = bool(random.random() < 0.5)
    for name, text in {**FILES, "motion": motion(random, valve, engine, stop)}.items():
        (folder / f"{name}.yaml").write_text(text, encoding="utf-8")
    build = read_build(folder, "simulated")
    assert build.problems == (), build.problems
    facts, subject = facts_as_read(build), Subject(1, valve)
    centre, lift = (facts.get_or_none(name, subject) for name in ("measured_centreline", "measured_lift"))
    if centre is None or lift is None:
        return None
    return Nose(stop, centre.si - abs(engine.nose), centre.expanded, lift.si - engine.lift, lift.expanded)


def simulated(count: int, seed: int = 5) -> list[Nose]:
    """So many engines, without those of undecided readings."""
    random = np.random.default_rng(seed)
    with TemporaryDirectory() as folder:
        found = [one(random, Path(folder)) for _ in range(count)]
    return [each for each in found if each is not None]


def main(count: int) -> None:
    """Print the coverage."""
    found = simulated(count)
    print(f"{count} engines, {count - len(found)} undecided")
    for text, stop in (("TDC by a stop", True), ("TDC by a mark", False)):
        own = [each for each in found if each.stop == stop]
        held, mean = (sum(getattr(each, name) for each in own) / len(own) for name in ("angle_held", "angle_expanded"))
        print(f"centreline, {text}: {len(own)}; U holds {held:.1%}, mean U {mean:.2f} deg")
    held, mean = (sum(getattr(each, name) for each in found) / len(found) for name in ("lift_held", "lift_expanded"))
    print(f"full lift: {len(found)}; U holds {held:.1%}, mean U {mean / INCH:.4f} in")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 200)
