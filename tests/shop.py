"""Generates a shop's repository: eight builds that share four springs, rules and limits of the shop, a concession."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).parent.parent
COUNT, SPRINGS = 8, 4
MEASURED = 4
"""Every fourth build is measured and at stage ordering, the others are being planned."""

SETTINGS = """\
builds: [engines/*]
rules: [shop-rules]
limits:
  coil-bind-clearance: {at_least: 0.065 in, because: our springs lose height in the first season}
"""
RULE = """\
id: spring-force-cap
title: Spring force that our lobes take
for_each: valve_type
quantity: spring_force_open
at_most: 300 lbf
level: warning
due: planning
why: More force than that wears a flat lobe round.
fix: Take a softer spring, or a roller cam.
source: common practice, no published source
examples: [{given: {spring_force_open: 250 lbf}, gives: pass}, {given: {spring_force_open: 350 lbf}, gives: fail}]
"""
SPRING = "seat_force: {seat} lbf\nrate: 265 lbf/in\ncoil_bind_height: 29.2 mm\n"
CONCESSION = """\
- rule: mark-centred
  cylinder: 1
  valve: intake
  up_to: 0.110 in
  because: the guides are new and the engine idles most of its life
  accepted_by: workshop foreman
"""


def generate(shop: Path, count: int = COUNT) -> None:
    """Write the whole repository, or its first builds, without reports."""
    for name, text in _files():
        (shop / name).parent.mkdir(parents=True, exist_ok=True)
        (shop / name).write_text(text, encoding="utf-8")
    for number in range(count):
        _build(shop / folder(number), number)


def folder(number: int) -> str:
    """The build of that number."""
    return f"engines/e{number:02}"


def users_of(spring: int) -> set[str]:
    """The builds that use a spring."""
    return {folder(number) for number in range(COUNT) if number % SPRINGS == spring}


def _files() -> Iterator[tuple[str, str]]:
    yield "buildcheck.yaml", SETTINGS
    yield "shop-rules/spring-force-cap.yaml", RULE
    for spring in range(SPRINGS):
        yield f"parts/springs/s-{spring}.yaml", SPRING.format(seat=92 + spring)


def _build(build: Path, number: int) -> None:
    measured = number % MEASURED == 0
    names = [path.name for path in sorted((ROOT / "example_build").glob("*.yaml"))]
    build.mkdir(parents=True)
    for name in names if measured else ("block.yaml", "build.yaml", "cam.yaml", "heads.yaml", "rockers.yaml"):
        shutil.copy(ROOT / "example_build" / name, build / name)
    _use_shared_springs(build / "heads.yaml", f"parts/springs/s-{number % SPRINGS}.yaml")
    stage = "ordering" if measured else "planning"
    (build / "build.yaml").write_text(f"name: Engine {number}\nstage: {stage}\n", encoding="utf-8")
    if number == 0:
        marks = (build / "marks.yaml").read_text(encoding="utf-8")
        moved = marks.replace("{from: 0.145 in, to: 0.172 in}", "{from: 0.035 in, to: 0.062 in}")
        (build / "marks.yaml").write_text(moved, encoding="utf-8")
        (build / "concessions.yaml").write_text(CONCESSION, encoding="utf-8")


def _use_shared_springs(heads: Path, part: str) -> None:
    kept = heads.read_text(encoding="utf-8").partition("\nsprings:")[0]
    each = f"{{uses: {part}, installed_height: 1.700 in +/- 0.010 in}}"
    heads.write_text(f"{kept}\nsprings: {{intake: {each}, exhaust: {each}}}\n", encoding="utf-8")
