"""A drawing of the reference as an SVG file in black and white, with its title and its text alternative."""

from __future__ import annotations

from collections.abc import Iterable
from html import escape

from buildcheck.record import Record

BLACK, DASHED = 'stroke="#000" fill="none"', 'stroke="#000" fill="none" stroke-dasharray="6 4"'


class Drawing(Record):
    """A drawing: its title, what it shows in words, its size and its elements."""

    title: str
    alt: str
    size: tuple[int, int]
    parts: tuple[str, ...]

    @property
    def svg(self) -> str:
        """The file."""
        wide, high = self.size
        head = f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide}" height="{high}" viewBox="0 0 {wide} {high}"'
        lines = [
            f'{head} role="img" font-family="sans-serif" font-size="13">',
            f"<title>{escape(self.title)}</title>",
            f"<desc>{escape(self.alt)}</desc>",
            f'<rect width="{wide}" height="{high}" fill="#fff"/>',
        ]
        return "\n".join([*lines, *self.parts, "</svg>", ""])


def text(x: float, y: float, words: str, anchor: str = "middle", weight: str = "normal") -> str:
    """Words at a point."""
    return f'<text x="{x:g}" y="{y:g}" text-anchor="{anchor}" font-weight="{weight}">{escape(words)}</text>'


def stroke(d: str, width: float = 1.5, dashed: bool = False) -> str:
    """A line, solid or dashed."""
    return f'<path d="{d}" {DASHED if dashed else BLACK} stroke-width="{width:g}"/>'


def area(d: str, fill: str = "#ccc") -> str:
    """A closed outline, filled."""
    return f'<path d="{d}" stroke="#000" fill="{fill}" stroke-width="1.5"/>'


def disc(x: float, y: float, radius: float, fill: str = "#fff") -> str:
    """A circle, filled."""
    return f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{radius:g}" stroke="#000" stroke-width="1.5" fill="{fill}"/>'


def box(x: float, y: float, wide: float, high: float, fill: str = "#fff") -> str:
    """A rectangle, filled."""
    corner = f'x="{x:g}" y="{y:g}" width="{wide:g}" height="{high:g}"'
    return f'<rect {corner} stroke="#000" stroke-width="1.5" fill="{fill}"/>'


def dimension(left: float, right: float, y: float, words: str) -> Iterable[str]:
    """A length between two points of one height, with its name below."""
    yield stroke(f"M{left:g} {y:g}H{right:g}M{left:g} {y - 5:g}v10M{right:g} {y - 5:g}v10", 1)
    yield text((left + right) / 2, y + 15, words)


def height(x: float, top: float, bottom: float, words: str, anchor: str = "start") -> Iterable[str]:
    """A length between two heights, with its name beside it, a line for each word behind a line break."""
    yield stroke(f"M{x:g} {top:g}V{bottom:g}M{x - 5:g} {top:g}h10M{x - 5:g} {bottom:g}h10", 1)
    lines = words.split("\n")
    for number, line in enumerate(lines):
        y = (top + bottom) / 2 + 5 + 16 * (number - (len(lines) - 1) / 2)
        yield text(x + (10 if anchor == "start" else -10), y, line, anchor)
