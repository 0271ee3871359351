"""A vee twin with solid lifters and plain tips on a fixed mount, laid out for a test with marks of the test's own."""

from __future__ import annotations

from pathlib import Path

from bench import trials
from rewritten import copied

FILES = {
    "block": """\
layout: vee
cylinders: 2
firing_order: [1, 2]
firing_intervals: [315 deg, 405 deg]
banks: {left: [1], right: [2]}
material: grey cast iron
bore: 79.3 mm
stroke: 78.1 mm
deck_clearance: 0.20 mm
piston_volume: 5 cc
""",
    "cam": """\
lifter: {type: solid flat}
lash_at: cold
intake: {lobe_lift: 6.8 mm, duration: 256 deg, centreline: 106 deg, lash: 0.10 mm}
exhaust: {lobe_lift: 6.6 mm, duration: 258 deg, centreline: 110 deg, lash: 0.15 mm}
""",
    "pushrods": """\
diameter: 8.0 mm
wall: 1.5 mm
material: steel
yield_strength: 350 MPa
ends: {type: ball, ball_radius: 3.97 mm, oil_hole: 2.0 mm}
measured_as: overall
inclination: 0 deg
stock:
  - {from: 220 mm, to: 240 mm, step: 1 mm, stated_as: overall}
""",
    "rockers": """\
mount: shaft
adjuster: screw
adjuster_thread: M8x1
adjuster_range: 3 mm
screw_at: 0 mm
ratio: 1.35
tip: {type: pad, radius: 21 mm}
valve_arm: 36 mm
""",
}
GAUGES = """\
length_gauge: {name: caliper, resolution: 0.02 mm, uncertainty: 0.04 mm}
mark_gauge: {name: dial caliper's points, resolution: 0.05 mm, uncertainty: 0.10 mm}
contact_band: 0 mm
springs: running
lifter: solid
turns_of_crank: 2
valves:
"""
GOOD = "length: 229.10 mm, mark: {from: 2.0 mm, to: 6.0 mm}"
VALVES = [(1, "intake"), (1, "exhaust"), (2, "intake"), (2, "exhaust")]


def lay_out(folder: Path, *rows: str, **files: str) -> Path:
    """The twin with these trials on cylinder 1's intake, good ones on all others, and files in place of its own."""
    tips = [("heads.yaml", "7.20 mm", "8.0 mm")] * 2
    build = copied(folder, "tests/builds/inline_four_pad", *tips)
    marks = [trials(*(rows if n == 0 else (GOOD,)), cylinder=c, valve=v) for n, (c, v) in enumerate(VALVES)]
    for name, text in {**FILES, "marks": GAUGES + "".join(marks), **files}.items():
        (build / f"{name}.yaml").write_text(text)
    return build


def mark(near: float, far: float) -> str:
    """One trial with its mark between these distances, mm."""
    return f"length: 229.10 mm, mark: {{from: {near} mm, to: {far} mm}}"
