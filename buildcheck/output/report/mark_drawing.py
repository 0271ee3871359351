"""Draws a valve's mark as a small SVG in black and white: as read, as predicted, at its narrowest."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from html import escape
from typing import Literal

from buildcheck.core.escape import one_line
from buildcheck.record import Record

WIDE, LEFT, ROW, BAR, TOP, LEGEND = 360, 20, 46, 20, 34, 16
Style = Literal["solid", "hatched", "outlined"]
STYLES: dict[Style, str] = {
    "solid": 'fill="#000"',
    "hatched": 'fill="url(#hatch)" stroke="#000"',
    "outlined": 'fill="none" stroke="#000" stroke-width="2"',
}


class Strip(Record):
    """One mark on the tip: its edges as shares of the tip's diameter from the pivot side, and what it is."""

    text: str
    edges: tuple[float, float]
    style: Style


def draw(title: str, strips: Iterable[Strip]) -> str:
    """An SVG document: the tip once a strip, pivot side left; the same to the byte for the same marks."""
    rows = list(strips)
    height = TOP + ROW * len(rows) + LEGEND
    return "\n".join([*_head(title, height), *_rows(rows), *_foot(height), "</svg>", ""])


def _head(title: str, height: int) -> Iterator[str]:
    text = escape(one_line(title))
    yield f'<svg xmlns="http://www.w3.org/2000/svg" width="{WIDE}" height="{height}" viewBox="0 0 {WIDE} {height}"'
    yield '     role="img" font-family="sans-serif" font-size="11" stroke="none">'
    yield f"<title>{text}</title>"
    yield '<defs><pattern id="hatch" width="5" height="5" patternUnits="userSpaceOnUse">'
    yield '<path d="M0 5L5 0" stroke="#000"/></pattern></defs>'
    yield f'<rect width="{WIDE}" height="{height}" fill="#fff"/>'
    yield f'<text x="{LEFT}" y="18" font-weight="bold">{text}</text>'


def _rows(rows: list[Strip]) -> Iterator[str]:
    across = WIDE - 2 * LEFT
    for number, strip in enumerate(rows):
        y = TOP + ROW * number
        low, high = (LEFT + across * min(max(edge, 0.0), 1.0) for edge in strip.edges)
        band = f'x="{low:.1f}" y="{y + 14}" width="{max(high - low, 1.0):.1f}" height="{BAR}"'
        yield f'<text x="{LEFT}" y="{y + 9}">{escape(one_line(strip.text))}</text>'
        yield f'<rect x="{LEFT}" y="{y + 14}" width="{across}" height="{BAR}" rx="5" fill="#fff" stroke="#000"/>'
        yield f"<rect {band} {STYLES[strip.style]}/>"
        yield f'<path d="M{WIDE // 2} {y + 11}v{BAR + 6}" stroke="#000" stroke-dasharray="3 3"/>'


def _foot(height: int) -> Iterator[str]:
    yield f'<text x="{LEFT}" y="{height - 6}">pivot side</text>'
    yield f'<text x="{WIDE - LEFT}" y="{height - 6}" text-anchor="end">far side</text>'
