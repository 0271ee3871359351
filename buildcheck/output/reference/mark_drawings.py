"""Drawings of marks on a round valve tip, seen from above, pivot side left; contact lines are computed."""

from __future__ import annotations

from collections.abc import Iterator
from math import sqrt

from buildcheck.formulas.rocker import contact_position
from buildcheck.output.reference.svg_sheet import Drawing, area, disc, stroke, text
from buildcheck.record import Record

TIP, ARM, LIFT, BAND = 0.310, 1.550, 0.500, 0.012
"""An example, in inches: tip diameter, pivot-to-tip length, valve lift and contact band."""
RADIUS, STEP, TOP = 62, 170, 92
HEIGHT_ERROR = 0.120
"""So far off is the pivot in the drawings of a wrong height, inches."""


class Tip(Record):
    """A tip with its mark and contact lines, distances from the pivot-side edge in inches, and a caption."""

    mark: tuple[float, float]
    caption: tuple[str, ...]
    lines: tuple[float, float] | None = None


def good_and_bad_mark() -> Drawing:
    """The two marks of the README."""
    tips = (
        Tip((0.145, 0.172), ("good: narrow,", "near the centre")),
        Tip((0.005, 0.032), ("bad: at the edge", "of the valve tip")),
    )
    alt = "Two valve tips from above. Left: a narrow mark near the centre, good. Right: the same mark at the edge, bad."
    return _row("A good mark and a bad mark", alt, tips)


def six_marks() -> Drawing:
    """The six marks of the bench page, numbered."""
    tips = (
        Tip((0.141, 0.169), ("1",)),
        _at(HEIGHT_ERROR, "2", lines=False),
        Tip((0.070, 0.098), ("3",)),
        Tip((0.016, 0.044), ("4",)),
        Tip((-0.020, 0.022), ("5",)),
        Tip((0.050, 0.262), ("6 (pad tip)",)),
    )
    alt = (
        "Six valve tips from above, numbered. 1: narrow and centred. 2: wide. 3: narrow, off centre to the pivot side. "
        "4: at the pivot-side edge. 5: run off the pivot-side edge. 6: a broad centred mark of a pad tip."
    )
    return _row("Six marks", alt, tips)


def contact_lines() -> Drawing:
    """Pivot too low, right and too high: the mark and both contact lines as computed."""
    names = ("pivot too low", "pivot height right", "pivot too high")
    tips = tuple(_at(error, name) for error, name in zip((HEIGHT_ERROR, 0.0, -HEIGHT_ERROR), names, strict=True))
    alt = (
        "Three valve tips from above. Pivot too low: wide mark, the solid line (valve closed) lies nearer the pivot "
        "than the dashed line (full lift). Height right: narrow mark, both lines together. Pivot too high: the same "
        "wide mark, but the dashed line lies nearer the pivot."
    )
    return _row("Contact lines: solid = valve closed, dashed = full lift", alt, tips)


def _at(height_error: float, caption: str, lines: bool = True) -> Tip:
    """The mark and the lines of a roller with a centred narrowest mark and a pivot too low by an error."""
    closed_height = LIFT / 2 + height_error
    centre = (ARM + contact_position(ARM, LIFT / 2, 0.0)) / 2
    positions = [contact_position(ARM, closed_height - LIFT * n / 50, centre) + TIP / 2 for n in range(51)]
    mark = (min(positions) - BAND / 2, max(positions) + BAND / 2)
    return Tip(mark, (caption,), (positions[0], positions[-1]) if lines else None)


def _row(title: str, alt: str, tips: tuple[Tip, ...]) -> Drawing:
    """Tips side by side, three at most in a row."""
    rows, across = (len(tips) + 2) // 3, min(len(tips), 3)
    parts = [text(STEP * across / 2, 18, title, weight="bold")]
    for number, tip in enumerate(tips):
        x, y = STEP * (number % 3) + STEP / 2, TOP + 182 * (number // 3)
        parts += _tip(tip, x, y)
    size = (max(STEP * across, 380), TOP + 182 * (rows - 1) + 95 + 15 * max(len(tip.caption) for tip in tips))
    return Drawing(title, alt, size, (*_shifted(parts, (size[0] - STEP * across) / 2), *_sides(size)))


def _shifted(parts: list[str], by: float) -> Iterator[str]:
    yield f'<g transform="translate({by:g} 0)">'
    yield from parts
    yield "</g>"


def _sides(size: tuple[int, int]) -> Iterator[str]:
    yield text(6, size[1] - 6, "pivot side", "start")
    yield text(size[0] - 6, size[1] - 6, "far side", "end")


def _tip(tip: Tip, x: float, y: float) -> Iterator[str]:
    yield disc(x, y, RADIUS)
    yield area(_band(x, y, *(_across(edge) for edge in tip.mark)))
    yield stroke(f"M{x:g} {y - RADIUS - 5:g}v{2 * RADIUS + 10}", 0.7, dashed=True)
    for number, line in enumerate(tip.lines or ()):
        at = _across(line)
        half = sqrt(RADIUS**2 - at**2) - 8
        yield stroke(f"M{x + at:.1f} {y - half:.1f}V{y + half:.1f}", 3, dashed=number == 1)
    for number, words in enumerate(tip.caption):
        yield text(x, y + RADIUS + 19 + 15 * number, words)


def _across(edge: float) -> float:
    """A distance from the pivot-side edge as a position from the tip's centre in the drawing."""
    return max(-1.0, min(1.0, 2 * edge / TIP - 1)) * RADIUS


def _band(x: float, y: float, near: float, far: float) -> str:
    """The outline of a mark, cut off by the edge of the tip."""
    high, low = sqrt(RADIUS**2 - near**2), sqrt(RADIUS**2 - far**2)
    arc = f"A{RADIUS} {RADIUS} 0 0 0"
    start = f"M{x + near:.1f} {y - high:.1f}V{y + high:.1f}"
    return f"{start}{arc} {x + far:.1f} {y + low:.1f}V{y - low:.1f}{arc} {x + near:.1f} {y - high:.1f}Z"
