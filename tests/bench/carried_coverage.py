"""How often a value carried over holds the true one: engines measured, changed and measured again, through the files.

Each draw writes a build with two states, reads the engine of rigid bodies before a change with noise, and carries
the reading over the change with the product. ``python tests/bench/carried_coverage.py 2000`` prints the table.
"""

from __future__ import annotations

import shutil
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from math import sqrt
from pathlib import Path
from random import Random
from typing import NamedTuple

TESTS = Path(__file__).parent.parent
sys.path[:0] = [str(TESTS), str(TESTS / "formulas")]

from engine_history import Engine, drawn  # noqa: E402

from buildcheck.build.build_folder import read_build  # noqa: E402
from buildcheck.build.facts import Facts  # noqa: E402
from buildcheck.build.length_conventions import measured_on_checker  # noqa: E402
from buildcheck.build.trials import trials  # noqa: E402
from buildcheck.core.subject import Subject  # noqa: E402
from buildcheck.core.value import exact  # noqa: E402
from buildcheck.registry.quantity_table import QUANTITIES  # noqa: E402

INCH = 0.0254
U_LENGTH, U_EDGE, U_CUT = 0.002, 0.003, 0.001
TIP = 0.342
CIRCLE = 1.230
INTAKE = Subject(1, "intake")
WORK = ("block_milled", "head_milled", "lifter_cup_lower", "tip_higher")


class Kind(NamedTuple):
    """A mount and a tip."""

    mount: str
    tip: str

    @property
    def fixed(self) -> bool:
        """Whether nothing but a shim moves the pivot."""
        return self.mount == "pedestal"


class Cam(NamedTuple):
    """Another cam: its lobe lift more, and its base circle smaller by so much in diameter; inches."""

    lobe: float
    smaller: float


KINDS = tuple(Kind(mount, tip) for mount in ("stud", "pedestal") for tip in ("roller", "pad"))


@dataclass(frozen=True)
class Carried:
    """One value after a change: true, as the product carries it, and its expanded uncertainty; inches."""

    kind: Kind
    quantity: str
    true: float
    value: float
    expanded: float

    @property
    def held(self) -> bool:
        """Whether the uncertainty holds the true value."""
        return abs(self.true - self.value) <= self.expanded


def draw(kind: Kind, random: Random, folder: Path) -> Iterator[Carried]:
    """One engine: its zero-lash length, and for a roller its height error, carried over one to three changes."""
    engine, ratio = drawn(random, None if kind.tip == "roller" else random.uniform(0.60, 0.70))
    shim, gasket = (random.uniform(-0.040, 0.040) if kind.fixed else 0.0), random.uniform(-0.020, 0.020)
    cuts = {name: random.uniform(-0.030, 0.030) for name in random.sample(WORK, random.randint(0, 2))}
    cam = Cam(*(random.choice([0.0, random.uniform(-most, most)]) for most in (0.020, 0.030)))
    then = changed(engine, shim, gasket, cuts).with_lobe(engine.lobe + cam.lobe).base_circle_smaller(cam.smaller)
    entered = {name: by + random.gauss(0, U_CUT / 2) for name, by in cuts.items()}
    facts = written(folder, kind, engine, ratio, shim, gasket, entered, cam, random)
    length = then.pushrod() if kind.fixed else same_height(then, shut_height(engine))
    [trial] = [one for one in trials(facts, INTAKE) if not one.predicted]
    assert trial.length is not None
    over_ends = measured_on_checker(facts, exact(0.0, "length")).si  # the caliper reads over the holes in the ends
    carried = (trial.length.si - over_ends) / INCH
    yield Carried(kind, "length", length, carried, trial.length.expanded / INCH)
    if kind.tip == "roller":
        now = then if kind.fixed else then.with_pushrod(carried)
        error = facts.get_or_none("height_error", INTAKE)
        if error is None:  # mark and lines disagree: the check requires a new reading
            return
        yield Carried(kind, "height error", now.height_error(), error.si / INCH, error.expanded / INCH)


def changed(engine: Engine, shim: float, gasket: float, cuts: dict[str, float]) -> Engine:
    """The engine after all changes."""
    engine = engine.raised(shim).head_nearer(-gasket)
    engine = engine.head_nearer(cuts.get("block_milled", 0.0) + cuts.get("head_milled", 0.0))
    return engine.head_nearer(-cuts.get("lifter_cup_lower", 0.0)).tip_higher(cuts.get("tip_higher", 0.0))


def shut_height(engine: Engine) -> float:
    """How far the centre of the tip circle lies above the pivot with the valve closed."""
    return engine.radius - engine.pivot[1]


def same_height(then: Engine, height: float) -> float:
    """With a nut, the length that leaves the pivot as high over the valve tip as before."""
    low, high = then.pushrod() - 0.3, then.pushrod() + 0.3
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if shut_height(then.with_pushrod(middle)) > height else (low, middle)
    return low


def written(
    folder: Path, kind: Kind, engine: Engine, ratio: float, shim: float, gasket: float, cuts: dict[str, float],
    other: Cam, random: Random,
) -> Facts:  # fmt: skip
    """The build after the change, its one reading taken before it."""
    adjuster = "none" if kind.fixed else "nut"
    shims = f"shim: {0.100 + shim:.5f} in\n" if kind.fixed else ""
    (folder / "rockers.yaml").write_text(
        f"mount: {kind.mount}\nadjuster: {adjuster}\nadjuster_thread: 3/8-24\nratio: {ratio}\n"
        f"tip: {{type: {kind.tip}, radius: {engine.radius} in}}\nvalve_arm: {engine.arm:.5f} in\n{shims}"
    )
    cam = (TESTS.parent / "example_build" / "cam.yaml").read_text(encoding="utf-8")
    cam = cam.replace("lobe_lift: 0.280 in", f"lobe_lift: {engine.lobe + other.lobe:.5f} in")
    circle = f"base_circle_diameter: {CIRCLE - other.smaller:.5f} in"
    (folder / "cam.yaml").write_text(cam.replace("base_circle_diameter: 1.230 in", circle))
    heads = (TESTS.parent / "example_build" / "heads.yaml").read_text(encoding="utf-8")
    heads = heads.replace("thickness: 1.07 mm", f"thickness: {0.080 + gasket:.5f} in")
    (folder / "heads.yaml").write_text(heads.replace("tip_diameter: 0.310 in", f"tip_diameter: {TIP} in"))
    (folder / "marks.yaml").write_text(marks(kind, engine, cuts, random))
    build = read_build(folder, "engine")
    assert not build.problems, build.problems
    return Facts(build, QUANTITIES, lambda facts, name, subject: None)


def marks(kind: Kind, engine: Engine, cuts: dict[str, float], random: Random) -> str:
    """marks.yaml with two states and one trial, read with noise."""
    near, far = (edge + TIP / 2 + random.gauss(0, U_EDGE / 2) for edge in engine.mark())
    shut, full = (engine.contact(lift) + TIP / 2 + random.gauss(0, U_EDGE / 2) for lift in (0.0, engine.lift()))
    lines = f", shut_at: {shut:.5f} in, open_at: {full:.5f} in" if kind.tip == "roller" else ""
    length = engine.pushrod() + random.gauss(0, U_LENGTH / 2)
    before = f"cam.intake.lobe_lift: {engine.lobe:.5f} in, cam.base_circle_diameter: {CIRCLE} in, "
    before += "heads.gasket.thickness: 0.080 in" + (", rockers.shim: 0.100 in" if kind.fixed else "")
    work = ", ".join(f"{name}: {by:.5f} in +/- {U_CUT} in" for name, by in cuts.items())
    return (
        f"length_gauge: {{name: caliper, uncertainty: {U_LENGTH} in}}\n"
        f"mark_gauge: {{name: loupe, uncertainty: {U_EDGE} in}}\n"
        "contact_band: 0 in\nsprings: checking\nlifter: locked\n"
        f"states:\n  - {{name: measured, parts: {{{before}}}}}\n"
        f"  - {{name: changed, changes: {{{work}}}, parts: {{}}}}\n"
        "valves:\n  - cylinder: 1\n    valve: intake\n    state: measured\n    trials:\n"
        f"      - {{length: {length:.5f} in, mark: {{from: {near:.5f} in, to: {far:.5f} in}}{lines}}}\n"
    )


def simulated(draws: int, seed: str = "carried") -> list[Carried]:
    """All values of so many engines, the kinds in turn."""
    random, found = Random(seed), []
    with tempfile.TemporaryDirectory() as top:
        folder = Path(top) / "engine"
        unused = shutil.ignore_patterns("REPORT.md", "stackup.yaml", "clearances.yaml")
        shutil.copytree(TESTS.parent / "example_build", folder, ignore=unused)
        for number in range(draws):
            found += draw(KINDS[number % len(KINDS)], random, folder)
    return found


def table(found: list[Carried]) -> Iterator[str]:
    """One line for each kind and quantity: how many, how many held, mean uncertainty, root mean square error."""
    yield "| Mount and tip | Quantity | Values | True value held | Mean U, in | RMS error, in |"
    yield "|---|---|---|---|---|---|"
    for kind, quantity in dict.fromkeys((one.kind, one.quantity) for one in found):
        own = [one for one in found if (one.kind, one.quantity) == (kind, quantity)]
        held, mean = sum(one.held for one in own) / len(own), sum(one.expanded for one in own) / len(own)
        rms = sqrt(sum((one.value - one.true) ** 2 for one in own) / len(own))
        yield f"| {kind.mount}, {kind.tip} | {quantity} | {len(own)} | {held:.1%} | {mean:.4f} | {rms:.4f} |"


if __name__ == "__main__":
    for line in table(simulated(int(sys.argv[1]) if len(sys.argv) > 1 else 2000)):
        print(line)
