"""Lays out readings of lift and drop to be filled in motion.yaml: only by inserting lines, and only as comments."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from buildcheck.advice.motion_plan import MotionStop
from buildcheck.build.new_reading import MOTION
from buildcheck.output.plan.entry_template import NOTE, entry_head, insertion_line, laid_out, list_indent, with_lines
from buildcheck.output.plan.plan_wording import degrees
from buildcheck.yamlio.documents import read


def insert_readings(text: str, stops: Sequence[MotionStop]) -> tuple[str, list[MotionStop]]:
    """The text with commented entries for the valves that were not laid out before, and those valves.

    Raises UnsupportedLayoutError where ``valves`` is no list with one entry a line.
    """
    root = read(text.encode(), MOTION).root
    valves = root.get("valves") if root is not None else None
    known = set(laid_out(text))
    new = [stop for stop in stops if stop.subject not in known]
    if not new:
        return text, []
    if root is None or valves is None:
        lines = [f"{NOTE}.", "#valves:", *_block(new, "  ")]
        return with_lines(text, len(text.rstrip("\n").split("\n")) if text else 0, lines, MOTION), new
    indent = list_indent(valves, text, MOTION)
    lines = [f"{indent}{NOTE}.", *_block(new, indent)]
    return with_lines(text, insertion_line(root, valves, text, MOTION), lines, MOTION), new


def _block(new: Sequence[MotionStop], indent: str) -> Iterator[str]:
    for stop in new:
        yield from entry_head(stop.subject, indent)
        yield f"{indent}#  at: valve"
        yield f"{indent}#  readings:"
        for crank in stop.cranks:
            blanks = "".join(f", {name}: " for name in stop.at(crank))
            yield f"{indent}#    - {{crank: {degrees(crank)}{blanks}}}"
