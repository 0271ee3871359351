"""A rocker from the side and its valve tip from above, placed by the product's own formulas."""

from __future__ import annotations

from dataclasses import dataclass
from math import asin, cos, sin

from svg import DASHED, HATCH, Drawing, Point

from buildcheck.formulas.rocker import contact_position, mark_width_least, swept

ARM, PUSHROD_ARM, LIFT, RADIUS, TIP, BAND = 1.550, 0.95, 0.560, 0.250, 0.310, 0.012
"""The demo's rocker: lengths in inches; the formulas take any unit of length."""
OFFSET = ARM - mark_width_least(ARM, LIFT) / 2
"""From the pivot to the valve's axis, so that the narrowest mark is centred."""
SCALE = 46


@dataclass(frozen=True)
class Mark:
    """Edges and contact lines from the pivot-side edge of the tip, in inches."""

    near: float
    far: float
    closed: float
    full: float


def mark_at(error: float) -> Mark:
    """The mark that a roller leaves with the pivot this much too low (positive) or too high."""
    closed = error + LIFT / 2
    nearest, farthest = (at - OFFSET + TIP / 2 for at in swept(ARM, LIFT, closed))
    lines = (contact_position(ARM, height, OFFSET) + TIP / 2 for height in (closed, closed - LIFT))
    return Mark(nearest - BAND / 2, farthest + BAND / 2, *lines)


def tip_from_above(drawing: Drawing, corner: Point, wide: float, mark: Mark, lines: bool = True) -> None:
    """The flat of the valve tip, pivot side left, with the mark and its contact lines."""
    x, y = corner
    tall, scale = 30.0, wide / TIP
    drawing.box(x, y, wide, tall, style='rx="6"')
    drawing.box(x + mark.near * scale, y, (mark.far - mark.near) * scale, tall, HATCH)
    drawing.path([(x + wide / 2, y - 5), (x + wide / 2, y + tall + 5)], 'stroke-dasharray="2 3"')
    if lines:
        closed, full = x + mark.closed * scale, x + mark.full * scale
        drawing.path([(closed, y - 9), (closed, y + tall)], 'stroke-width="3"')
        drawing.path([(full, y), (full, y + tall + 9)], 'stroke-width="3" stroke-dasharray="4 3"')


def roller_rocker(drawing: Drawing, valve: Point, error: float = 0.0, open_too: bool = True) -> Point:
    """A roller rocker over the tip of its closed valve, and dashed at full lift; returns the pivot."""
    x, y = valve
    pivot = (x - OFFSET * SCALE, y - (RADIUS - error - LIFT / 2) * SCALE)
    valve_stem(drawing, valve)
    drawing.path([(pivot[0] - 48, pivot[1]), (x + 16, pivot[1])], 'stroke-width="1" stroke-dasharray="2 4"')
    if open_too:
        tip, cup = _ends(pivot, error - LIFT / 2)
        drawing.path([cup, pivot, tip], DASHED)
        drawing.disc(tip, RADIUS * SCALE, "none", DASHED)
    tip, cup = _ends(pivot, error + LIFT / 2)
    pushrod(drawing, cup, y + 62)
    drawing.bar([cup, pivot, tip], 12)
    drawing.disc(tip, RADIUS * SCALE)
    drawing.disc(tip, 2, "#000")
    drawing.disc(pivot, 7)
    drawing.disc(pivot, 2, "#000")
    return pivot


def _ends(pivot: Point, height: float) -> tuple[Point, Point]:
    """Centre of the roller and the pushrod cup, with the roller this far above the pivot."""
    turned = asin(height / ARM)
    across, up = cos(turned) * SCALE, sin(turned) * SCALE
    return (pivot[0] + ARM * across, pivot[1] - ARM * up), (
        pivot[0] - PUSHROD_ARM * across,
        pivot[1] + PUSHROD_ARM * up,
    )


def valve_stem(drawing: Drawing, valve: Point) -> None:
    """The stem under a tip, cut off below."""
    x, y = valve
    half = TIP / 2 * SCALE
    drawing.path([(x - half, y + 62), (x - half, y), (x + half, y), (x + half, y + 62)], fill="#fff")


def pushrod(drawing: Drawing, cup: Point, bottom: float) -> None:
    """A pushrod under its cup, cut off below."""
    x, y = cup
    drawing.path([(x - 4, bottom), (x - 4, y), (x + 4, y), (x + 4, bottom)], fill="#fff")
    drawing.disc((x, y + 2), 6)


def pad_rocker(drawing: Drawing, valve: Point) -> Point:
    """A rocker with a pad tip: the pad is an arc, its centre far above the pivot; returns that centre."""
    x, y = valve
    radius = 70.0
    centre, pivot = (x - 3, y - radius), (x - 72, y - 30)
    valve_stem(drawing, valve)
    pushrod(drawing, (pivot[0] - 40, pivot[1] + 20), y + 62)
    drawing.bar([(pivot[0] - 40, pivot[1] + 14), pivot, (x - 8, y - 14)], 12)
    drawing.arc(centre, radius, (65, 118), 'stroke-width="5"')
    drawing.path([centre, (x - 3, y)], 'stroke-width="1" stroke-dasharray="2 4"')
    drawing.disc(centre, 2, "#000")
    drawing.disc(pivot, 7)
    drawing.disc(pivot, 2, "#000")
    return centre
