"""All drawings of the documentation by name, each in one place, with its text alternative."""

from __future__ import annotations

from types import MappingProxyType

from buildcheck.output.reference import bench_drawings as bench
from buildcheck.output.reference import mark_drawings as marks
from buildcheck.output.reference import part_drawings as parts

DRAWINGS = MappingProxyType(
    {
        "base-circle": bench.base_circle(),
        "concession": parts.concession(),
        "contact-lines": marks.contact_lines(),
        "degree-wheel": bench.wheel(),
        "free-and-fixed-pivot": bench.free_and_fixed_pivot(),
        "good-and-bad-mark": marks.good_and_bad_mark(),
        "lash-cap": parts.lash_cap(),
        "pivot-heights": bench.pivot_heights(),
        "pushrod-lengths": bench.pushrod_lengths(),
        "reading-a-mark": bench.reading_a_mark(),
        "roller-and-pad": bench.roller_and_pad(),
        "shim": parts.shim(),
        "six-marks": marks.six_marks(),
        "slack-and-tight": bench.slack_and_tight(),
        "stages": parts.stages(),
        "turns": parts.turns(),
        "undecided": parts.undecided(),
        "valve-spring": parts.valve_spring(),
    }
)
"""Name of the file without its ending -> drawing, in order of the names."""
