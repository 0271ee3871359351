"""Simulated trial and error: builders who follow the advice on engines of which the truth is known.

Each step writes the build's YAML, gets the advice, and does what it says on the simulated engine. Run as a
script it writes the table of DEVELOPERS.md: ``python tests/experiments/trial_and_error.py 34``.
"""

from __future__ import annotations

import shutil
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from decimal import Decimal
from functools import cache
from pathlib import Path
from random import Random
from statistics import median

from documented import write
from engines import PACK, Design, Valve, design, valve

from buildcheck.advice.valve_advice import Advice, advice
from buildcheck.app.build_check import CheckedBuild, check_build
from buildcheck.app.rule_context import RuleContext, rule_context_for
from buildcheck.build.build_folder import read_build

DEMO = Path(__file__).parent.parent.parent / "example_build"
VALVES = 6
ZERO = 7.000
CENTRED = {"mark-on-tip", "mark-centred", "mark-near-centre"}


@dataclass
class Bench:
    """One valve on the bench: its trials so far, and how far off the pivot truly was at each."""

    valve: Valve
    reads_lines: bool
    trials: list[dict[str, object]] = field(default_factory=list)
    errors: list[float] = field(default_factory=list)
    probes: set[int] = field(default_factory=set)
    state: str = ""

    def mark(self, length: float, shim: float) -> None:
        """One more trial with its mark."""
        stood = round(length / 0.0005) * 0.0005
        self.trials.append({"length": stood, "shim": shim, "mark": self.valve.mark(length, shim)})
        self.errors.append(self.valve.error(length, shim))

    def rows(self, trial: dict[str, object], quoted: object) -> Iterator[str]:
        """One trial as marks.yaml has it."""
        yield ", ".join(_row(trial, self.valve.design, quoted))

    def number(self, trial: int) -> int:
        """Which of the marks a trial of marks.yaml belongs to, from 0."""
        return trial - 1

    def read_lines(self) -> None:
        """Both contact lines, on the last trial as it stands."""
        last = self.trials[-1]
        last["lines"] = self.valve.lines(float(str(last["length"])), float(str(last["shim"])))

    def follow(self, result: Advice) -> None:
        """Do what the advice says."""
        step, last = result.step, self.trials[-1]
        shim = float(str(last["shim"]))
        match step.action:
            case "read contacts" if self.reads_lines or step.height is None:
                self.read_lines()
            case "read contacts" | "change height" if self.valve.design.fixed:
                assert step.height is not None
                self._moved(step.action, shim + round(step.height.si / 0.0254, 3))
            case "read contacts" | "change length":
                assert step.reading is not None
                self._moved(step.action, shim, step.reading / 0.0254)
            case "repeat":
                assert step.trial is not None
                self._repeat(self.number(step.trial))
            case action:
                self.state = action

    def _moved(self, action: str, shim: float, length: float | None = None) -> None:
        if action == "read contacts":
            self.probes.add(len(self.trials))
        self.mark(length if length is not None else self.valve.length(shim), shim)

    def _repeat(self, index: int) -> None:
        again = self.trials[index]
        where = float(str(again["length"])), float(str(again["shim"]))
        again["mark"] = self.valve.mark(*where)
        if "lines" in again:
            again["lines"] = self.valve.lines(*where)


@dataclass(frozen=True)
class Outcome:
    """How one valve's search ended."""

    trials: int
    accepted: bool
    astray: bool
    state: str


def search(
    shared: Design, random: Random, off: float, reads_lines: bool, folder: Path, kind: type[Bench] = Bench
) -> list[Outcome]:
    """All valves of one engine, each first ``off`` too short or too long (or its pivot as much too low or high)."""
    benches = [kind(valve(shared, random, off * random.choice([-1, 1])), reads_lines) for _ in range(VALVES)]
    for bench in benches:
        bench.mark(bench.valve.length(PACK), PACK)
    found: CheckedBuild | None = None
    for _ in range(8):
        found = ask(shared, benches, folder)
        result = {one.subject.cylinder: one for one in advice(found.facts)}
        for number, bench in enumerate(benches, 1):
            if not bench.state and len(bench.trials) < 6:
                bench.follow(result[number])
        if all(bench.state for bench in benches):
            break
    assert found is not None
    return [outcome(bench, number, found) for number, bench in enumerate(benches, 1)]


def outcome(bench: Bench, number: int, found: CheckedBuild) -> Outcome:
    """Accepted where the rules on the mark pass: open or not applicable is not enough."""
    own = [one for one in found.results if (one.subject.cylinder, one.subject.valve) == (number, "intake")]
    passed = {one.rule for one in own if one.kind == "pass"}
    shared = bench.valve.design
    height = {"geometry-fixed-mount" if shared.fixed else "geometry-at-mid-lift"} if not shared.pad_tip else set()
    moves = [i for i in range(1, len(bench.errors)) if i not in bench.probes]
    astray = any(abs(bench.errors[i]) > abs(bench.errors[i - 1]) for i in moves)
    return Outcome(len(bench.trials), passed >= CENTRED | height, astray, bench.state)


def ask(shared: Design, benches: list[Bench], folder: Path, unit: str = "in") -> CheckedBuild:
    """The build as its files would stand, checked."""
    build = folder / f"engine-{unit}"
    shutil.rmtree(build, ignore_errors=True)
    shutil.copytree(DEMO, build, ignore=shutil.ignore_patterns("REPORT.md", "stackup.yaml"))
    for name, text in files(shared, benches, unit).items():
        (build / f"{name}.yaml").write_text(text)
    own = context()
    found = check_build(read_build(build, build.name), own.rules, own.team)
    assert found.problems == (), found.problems
    return found


@cache
def context() -> RuleContext:
    """The shipped rules, read once."""
    return rule_context_for(DEMO)


def files(shared: Design, benches: list[Bench], unit: str) -> dict[str, str]:
    """The files of a build that the simulation fills in, in inches or millimetres."""

    def quoted(inches: object) -> str:
        exact = Decimal(str(round(float(str(inches)), 4)))
        return f"{exact} in" if unit == "in" else f"{exact * Decimal('25.4')} mm"

    mount = "pedestal" if shared.fixed else "stud"
    tip = "pad, radius: 0.9 in" if shared.pad_tip else "roller, radius: 0.25 in"
    lobe = f"{{lobe_lift: {quoted(shared.lift)}, duration: 264 deg, centreline: 107 deg, lash: {quoted(0.015)}}}"
    return {
        "rockers": (
            f"mount: {mount}\nadjuster: {'none' if shared.fixed else 'nut'}\nadjuster_thread: 3/8-24\n"
            f"ratio: {shared.ratio}\ntip: {{type: {tip}}}\nvalve_arm: {quoted(shared.valve_arm)}\n"
            f"stud_lean: {shared.lean} deg\n"
        ),
        "cam": f"lifter: {{type: solid flat}}\nlash_at: cold\nintake: {lobe}\nexhaust: {lobe}\n",
        "clearances": f"intake: {{valve_lift: {quoted(shared.lift)}}}\n",
        "heads": (DEMO / "heads.yaml").read_text().replace("0.310 in", quoted(shared.tip_diameter)),
        "pushrods": (
            f"diameter: 5/16 in\nwall: 0.080 in\nmaterial: steel\nmeasured_as: full ball\nends: {{type: ball, "
            f"ball_radius: 5/32 in, oil_hole: 0.08 in}}\ninclination: {shared.inclination} deg\n"
            f"checker: {{thread: 1/4-28, length_at_zero_turns: {quoted(ZERO)}}}\n"
        ),
        "marks": "".join(marks(shared, benches, quoted)),
    }


def marks(shared: Design, benches: list[Bench], quoted: object) -> Iterator[str]:
    assert callable(quoted)
    yield f"length_gauge: {{uncertainty: {quoted(0.0010)}}}\nmark_gauge: {{uncertainty: {quoted(0.0030)}}}\n"
    yield f"zero_lash_repeatability: {quoted(0.0020)}\ncontact_band: {quoted(shared.band)}\nsprings: checking\n"
    yield "lifter: solid\nturns_of_crank: 2\nvalves:\n"
    for number, bench in enumerate(benches, 1):
        yield f"  - cylinder: {number}\n    valve: intake\n    trials:\n"
        for trial in bench.trials:
            yield from (f"      - {{{row}}}\n" for row in bench.rows(trial, quoted))


def _row(trial: dict[str, object], shared: Design, quoted: object) -> Iterator[str]:
    assert callable(quoted)
    near, far = trial["mark"]  # type: ignore[misc]
    yield f"length: {quoted(trial['length'])}, mark: {{from: {quoted(near)}, to: {quoted(far)}}}"
    if shared.fixed:
        yield f"shim: {quoted(trial['shim'])}"
    if "lines" in trial:
        shut, opened = trial["lines"]  # type: ignore[misc]
        yield f"shut_at: {quoted(shut)}, open_at: {quoted(opened)}"


def experiment(engines: int, seed: str, off: float, reads_lines: bool = True, **kind: bool) -> list[Outcome]:
    """Every valve of so many drawn engines."""
    random, found = Random(seed), []
    with tempfile.TemporaryDirectory() as folder:
        for _ in range(engines):
            found += search(design(random, **kind), random, off, reads_lines, Path(folder))
    return found


KINDS: dict[str, dict[str, bool]] = {
    "roller, nut; lines read": {},
    "roller, nut; marks alone": {"reads_lines": False},
    "roller, pedestal; lines read": {"fixed": True},
    "roller, pedestal; marks alone": {"fixed": True, "reads_lines": False},
    "pad tip, nut": {"pad_tip": True},
}
OFF = (0.050, 0.100, 0.150)
"""How far the first trial is off, in."""


def drawn(engines: int, name: str, off: float) -> list[Outcome]:
    """The valves of one row of the table; fewer engines are the first ones of the same row."""
    return experiment(engines, f"{name} {off}", off, **KINDS[name])


def row(name: str, off: float, found: list[Outcome]) -> str:
    """One row of the table."""
    soon = sum(one.accepted and one.trials <= 3 for one in found) / len(found)
    trials = [one.trials for one in found]
    away = sum(one.astray for one in found)
    return f"| {name} | {off:.3f} | {len(found)} | {100 * soon:.1f} % | {median(trials):g} | {max(trials)} | {away} |"


def main(engines: int) -> None:
    """Print the table and write it into DEVELOPERS.md."""
    head = (
        "| Engine and builder | First off by, in | Valves | Accepted in 3 trials | Trials: median | most | Moved away |"
    )
    table = [row(name, off, drawn(engines, name, off)) for name in KINDS for off in OFF]
    write("trial and error", [head, "|---|---|---|---|---|---|---|", *table])


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 34)
