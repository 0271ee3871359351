"""How often the stated uncertainty of a measured piston gap holds the true gap, on simulated engines.

Run: python tests/bench/motion_coverage.py 2000
Valve angles up to 30 deg, flat and pocket faces, readings every 5 to 10 deg with errors of dial and wheel, top dead
centre by a stop or wrong by up to 2 deg. The engines are those of tests/motion_engines.py, which share no formula with
the product. An engine whose face is not entered must not be optimistic; its gap may be smaller than the true one.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np

sys.path.insert(0, str(Path(__file__).parent.parent))

from motion_engines import INCH, LOBES, MovingEngine, with_least_gap

from buildcheck.app.build_check import facts_as_read
from buildcheck.build.build_folder import read_build
from buildcheck.core.subject import Subject

Random = np.random.Generator


@dataclass(frozen=True)
class Found:
    """One engine: its least gap, what was computed with its U (m), and whether face and top dead centre were known.

    ``away``: the computed crank angle of the least gap less the true one, deg, with its U.
    """

    true: float
    gap: float | None
    expanded: float
    face: bool
    stop: bool
    away: float = 0.0
    angle_expanded: float = 0.0

    @property
    def held(self) -> bool:
        return self.gap is not None and abs(self.gap - self.true) <= self.expanded

    @property
    def angle_held(self) -> bool:
        return abs(self.away) <= self.angle_expanded

    @property
    def optimistic(self) -> bool:
        return self.gap is not None and self.gap - self.true > self.expanded


def drawn(random: Random) -> tuple[str, MovingEngine]:
    """A valve and the engine that moves it."""
    valve = str(random.choice(["intake", "exhaust"]))
    nose = random.uniform(102, 116) * (1 if valve == "intake" else -1)
    stroke = random.uniform(2.8, 4.2) * INCH
    engine = MovingEngine(
        str(random.choice(sorted(LOBES))), random.uniform(0.38, 0.58) * INCH, random.uniform(245, 300), nose, stroke,
        stroke * random.uniform(1.5, 1.9), random.uniform(0, 30), str(random.choice(["flat", "pocket"])), 0.0,
    )  # fmt: skip
    return valve, with_least_gap(engine, random.uniform(0.03, 0.20) * INCH)


def motion(random: Random, valve: str, engine: MovingEngine, stop: bool, wheel: float) -> str:
    """motion.yaml as it is read on the engine: every reading has its own error, top dead centre one for all."""
    step, first = random.uniform(5, 10), random.uniform(-70, -60)
    shown = np.round(np.arange(first, 70, step), 1)
    zero = random.normal(0, wheel / 2) if stop else random.uniform(-2, 2)
    true = shown - zero + random.normal(0, wheel / 2, len(shown))
    lifts = engine.valve_lift(true) / INCH + random.normal(0, 0.0005, len(shown))
    gaps = engine.gap(true) / INCH + random.normal(0, 0.0005, len(shown))
    drop = int(np.argmin(np.abs(shown - random.uniform(-15, 15))))
    lines = []
    for i, (angle, lift, gap) in enumerate(zip(shown, lifts, gaps, strict=True)):
        read = f", drop: {max(gap, 0):.5f} in" if i == drop else ""
        lines.append(f"{{crank: {angle + 360:.1f} deg, lift: {max(lift, 0):.5f} in{read}}}")
    head = "gauge: {name: dial, uncertainty: 0.001 in}\n"
    head += f"wheel: {{uncertainty: {wheel} deg, tdc: {STOPS[stop]}}}\nvalves:\n"
    entry = f"  - cylinder: 1\n    valve: {valve}\n    at: valve\n    readings:\n"
    return head + entry + "".join(f"      - {line}\n" for line in lines)


STOPS = {True: "piston stop", False: "timing mark"}


def one(random: Random, folder: Path) -> Found:
    """One engine drawn, read and computed."""
    valve, engine = drawn(random)
    stop, face = bool(random.random() < 0.5), bool(random.random() < 0.7)
    wheel = float(random.choice([0.5, 1.0]))
    own = f"piston_face: {engine.face}\npocket_clearance: 1 in\n" if face else ""
    lengths = f"bore: 4 in\nstroke: {engine.stroke / INCH:.6f} in\nrod_length: {engine.rod / INCH:.6f} in\n"
    tips = "".join(
        f"  {each}: {{tip_diameter: 0.34 in, angle: {engine.slant:.4f} deg}}\n" for each in ("intake", "exhaust")
    )
    texts = {
        "build": "name: simulated\nstage: planning\n",
        "block": f"layout: inline\ncylinders: 1\nfiring_order: [1]\n{lengths}{own}",
        "heads": f"valves:\n{tips}",
        "motion": motion(random, valve, engine, stop, wheel),
    }
    for name, text in texts.items():
        (folder / f"{name}.yaml").write_text(text, encoding="utf-8")
    build = read_build(folder, "simulated")
    assert build.problems == (), build.problems
    facts, subject = facts_as_read(build), Subject(1, valve)
    value, at = (facts.get_or_none(name, subject) for name in ("piston_gap_least", "piston_gap_at"))
    true, angle = engine.least()
    if value is None or at is None:
        return Found(true, None, 0.0, face, stop)
    return Found(true, value.si, value.expanded, face, stop, at.si - 360 - angle, at.expanded)


def simulated(count: int, seed: int = 21) -> list[Found]:
    """So many engines."""
    random = np.random.default_rng(seed)
    with TemporaryDirectory() as folder:
        return [one(random, Path(folder)) for _ in range(count)]


def main(count: int) -> None:
    """Print the coverage."""
    found = simulated(count)
    known = [each for each in found if each.gap is not None]
    print(f"{count} engines, {count - len(known)} undecided")
    for text, own in (
        ("face entered, TDC by a stop", [each for each in known if each.face and each.stop]),
        ("face entered, TDC by a mark", [each for each in known if each.face and not each.stop]),
        ("face not entered", [each for each in known if not each.face]),
    ):
        held, wrong = (sum(getattr(each, name) for each in own) / len(own) for name in ("held", "optimistic"))
        mean = sum(each.expanded for each in own) / len(own) / INCH
        print(f"{text}: {len(own)}; U holds {held:.1%}, mean U {mean:.4f} in; optimistic by more than U {wrong:.1%}")
        angle, wide = (sum(getattr(each, name) for each in own) / len(own) for name in ("angle_held", "angle_expanded"))
        print(f"  its crank angle: U holds {angle:.1%}, mean U {wide:.1f} deg")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 200)
