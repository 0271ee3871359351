"""Builds laid out for a test: the demo with marks, rockers or other files of the test's own."""

from __future__ import annotations

import shutil
from pathlib import Path

from buildcheck.app.build_check import CheckedBuild
from buildcheck.app.run import run

DEMO = Path(__file__).parent.parent / "example_build"
GAUGES = """\
length_gauge: {name: caliper, resolution: 0.0005 in, uncertainty: 0.001 in}
mark_gauge: {name: loupe, resolution: 0.001 in, uncertainty: 0.003 in}
contact_band: 0 in
springs: checking
lifter: solid
lifter_cup_height: 1.890 in
turns_of_crank: 2
"""
STUD = """\
mount: stud
adjuster: nut
adjuster_thread: 3/8-24
ratio: 1.6
tip: {type: roller, radius: 0.250 in}
valve_arm: 1.550 in
stud_lean: 0 deg
"""
PEDESTAL = STUD.replace("mount: stud\nadjuster: nut", "mount: pedestal\nadjuster: none").replace(
    "stud_lean: 0 deg\n", ""
)
PAD_TIP = STUD.replace("type: roller, radius: 0.250 in", "type: pad, radius: 0.900 in")


def trials(*rows: str, valve: str = "intake", cylinder: int = 1) -> str:
    """One valve's entry in marks.yaml."""
    listed = "".join(f"      - {{{row}}}\n" for row in rows)
    return f"  - cylinder: {cylinder}\n    valve: {valve}\n    trials:\n{listed}"


def lay_out(folder: Path, *valves: str, gauges: str = GAUGES, **files: str) -> Path:
    """The demo's folder with these valves in marks.yaml, and other files (rockers=...) in place of its own."""
    build = folder / "engine"
    shutil.copytree(DEMO, build, ignore=shutil.ignore_patterns("REPORT.md", "stackup.yaml"))
    (build / "marks.yaml").write_text(f"{gauges}valves:\n{''.join(valves)}")
    for name, text in files.items():
        (build / f"{name}.yaml").write_text(text)
    return build


def judged(folder: Path, *valves: str, gauges: str = GAUGES, **files: str) -> CheckedBuild:
    """Such a build, checked."""
    found = run([lay_out(folder, *valves, gauges=gauges, **files)])
    assert found.problems == ()
    assert found.builds[0].problems == ()
    return found.builds[0]
