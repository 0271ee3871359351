"""Drawings of rockers and of the marks that they leave."""

from __future__ import annotations

from demo import BAD_EDGES, BAD_LINES, GOOD_EDGES, GOOD_LINES, bad_mark_finding
from rocker_view import Mark, mark_at, pad_rocker, roller_rocker, tip_from_above
from svg import DASHED, HATCH, Drawing, Point

ERROR = 0.3
"""Inches off, so large that the eye sees it."""
HEIGHTS = (("Pivot too low", ERROR), ("Pivot at mid-lift", 0.0), ("Pivot too high", -ERROR))


def good_and_bad() -> str:
    """The two marks of the README, with the finding that the bad one produces."""
    drawing = Drawing(
        "Two valve tips seen from above. The good mark is narrow and near the centre. The bad mark is at the edge on "
        "the pivot side, and buildcheck reports it as an error with the file and line.",
        196,
    )
    for x, name, edges, lines in ((20, "Good", GOOD_EDGES, GOOD_LINES), (260, "Bad", BAD_EDGES, BAD_LINES)):
        drawing.text(x, 24, f"{name} mark: {edges[0]:.3f} to {edges[1]:.3f} in", "start", bold=True)
        tip_from_above(drawing, (x, 48), 200, Mark(*edges, *lines), lines=False)
        drawing.text(x, 98, "pivot side", "start")
        drawing.text(x + 200, 98, "far side", "end")
    drawing.lines(20, 124, bad_mark_finding(), 68)
    return drawing.document()


def pivot_height() -> str:
    """Pivot too low, right and too high, with the marks that the formulas give."""
    drawing = Drawing(
        "Three rockers from the side, each with its valve tip from above. If the pivot is too low or too high, the "
        "mark is wide and lies towards the pivot. If the pivot is at mid-lift, the mark is narrow and centred.",
        284,
    )
    for number, (name, error) in enumerate(HEIGHTS):
        left = 160 * number
        drawing.text(left + 80, 20, name, bold=True)
        roller_rocker(drawing, (left + 126, 80), error)
        tip_from_above(drawing, (left + 20, 168), 120, mark_at(error))
        drawing.text(left + 20, 226, "pivot side", "start")
        drawing.text(left + 140, 226, "far side", "end")
    drawing.text(20, 254, "Solid: valve closed. Dashed: full lift. Dotted: middle of the tip.", "start")
    drawing.text(20, 272, "The height error is drawn as 0.300 in so that it can be seen.", "start")
    return drawing.document()


def contact_lines() -> str:
    """The order of the two contact lines under each pivot height."""
    drawing = Drawing(
        "Three valve tips from above with both contact lines. Pivot too low: the line with the valve closed is on the "
        "pivot side. Pivot at mid-lift: both lines are in one place. Pivot too high: the line with the valve closed is "
        "on the far side.",
        250,
    )
    for number, (name, error) in enumerate(HEIGHTS):
        y = 34 + 66 * number
        drawing.text(20, y + 20, name, "start", bold=True)
        tip_from_above(drawing, (170, y), 280, mark_at(error))
    drawing.text(20, 236, "Solid: valve closed. Dashed: full lift. Pivot side left.", "start")
    return drawing.document()


def roller_and_pad() -> str:
    """How a roller tip and a pad tip touch the valve."""
    drawing = Drawing(
        "Left: a roller tip; its centre moves from above the pivot to below it, so the mark is narrowest at mid-lift. "
        "Right: a pad tip; its curve has its centre far above the pivot, so the mark moves across the tip as the "
        "pushrod length changes.",
        234,
    )
    drawing.text(120, 20, "Roller tip", bold=True)
    roller_rocker(drawing, (150, 96))
    drawing.text(360, 20, "Pad tip (non-roller)", bold=True)
    x, y = pad_rocker(drawing, (400, 116))
    drawing.text(x - 6, y - 6, "centre of the curve", "end")
    drawing.lines(20, 204, "Width shows the pivot height; contact lines show its sign.", 34)
    drawing.lines(260, 204, "The place of the mark shows which way to change the length.", 33)
    return drawing.document()


def fixed_and_free() -> str:
    """A stud with a nut, and a pedestal with a shim."""
    drawing = Drawing(
        "Left: a rocker on a stud; the nut sets the pivot height, and the pushrod length moves the mark. Right: a "
        "rocker bolted to a pedestal; only a shim under the pedestal moves the mark.",
        236,
    )
    drawing.text(120, 20, "Free: stud and nut", bold=True)
    _stud(drawing, roller_rocker(drawing, (160, 100), open_too=False))
    drawing.text(360, 20, "Fixed: pedestal or shaft", bold=True)
    _pedestal(drawing, roller_rocker(drawing, (400, 100), open_too=False))
    drawing.lines(20, 206, "The pushrod length sets the pivot height and so the mark.", 32)
    drawing.lines(260, 206, "The shim sets the pivot height and so the mark. Then find the length.", 34)
    return drawing.document()


def _stud(drawing: Drawing, pivot: Point) -> None:
    x, y = pivot
    drawing.path([(x - 3, y + 70), (x - 3, y - 44), (x + 3, y - 44), (x + 3, y + 70)], 'stroke-width="1"')
    drawing.box(x - 11, y - 28, 22, 16, HATCH)
    drawing.text(x + 16, y - 26, "nut", "start")


def _pedestal(drawing: Drawing, pivot: Point) -> None:
    x, y = pivot
    drawing.path([(x - 8, y + 10), (x - 15, y + 50), (x + 15, y + 50), (x + 8, y + 10)], close=True)
    drawing.box(x - 18, y + 50, 36, 7, HATCH)
    drawing.path([(x - 40, y + 57), (x + 40, y + 57)], 'stroke-width="3"')
    drawing.path([(x, y + 57), (x, y + 74)], DASHED)
    drawing.text(x, y + 84, "shim")
