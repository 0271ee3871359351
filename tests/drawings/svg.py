"""A small SVG drawing in black and white, with the text that a reader who does not see it gets."""

from __future__ import annotations

from collections.abc import Iterable
from html import escape
from math import cos, radians, sin
from textwrap import wrap

WIDE = 480
Point = tuple[float, float]


class Drawing:
    """Collects shapes and writes them as one document: the same to the byte each time."""

    def __init__(self, alt: str, tall: int) -> None:
        self.alt, self.tall = alt, tall
        self.parts: list[str] = []

    def document(self) -> str:
        """The whole document."""
        head = (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{WIDE}" height="{self.tall}" '
            f'viewBox="0 0 {WIDE} {self.tall}" role="img" font-family="sans-serif" font-size="13" stroke-width="1.5">'
        )
        hatch = (
            '<defs><pattern id="hatch" width="5" height="5" patternUnits="userSpaceOnUse">'
            '<path d="M0 5L5 0" stroke="#000" stroke-width="1"/></pattern></defs>'
        )
        paper = f'<rect width="{WIDE}" height="{self.tall}" fill="#fff"/>'
        return "\n".join([head, f"<title>{escape(self.alt)}</title>", hatch, paper, *self.parts, "</svg>", ""])

    def text(self, x: float, y: float, text: str, anchor: str = "middle", bold: bool = False) -> None:
        """A line of text at its base line."""
        weight = ' font-weight="bold"' if bold else ""
        self.parts.append(f'<text x="{x:g}" y="{y:g}" text-anchor="{anchor}"{weight}>{escape(text)}</text>')

    def lines(self, x: float, y: float, text: str, columns: int, anchor: str = "start") -> None:
        """A text broken into lines of at most so many characters."""
        for number, line in enumerate(wrap(text, columns)):
            self.text(x, y + 17 * number, line, anchor)

    def path(
        self, points: Iterable[Point], style: str = "", close: bool = False, fill: str = "none", stroke: str = "#000"
    ) -> None:
        """A chain of straight lines; ``style`` is any further attribute, such as DASHED."""
        chain = "L".join(f"{x:.1f} {y:.1f}" for x, y in points)
        self.parts.append(f'<path d="M{chain}{"Z" if close else ""}" fill="{fill}" stroke="{stroke}" {style}/>')

    def bar(self, points: list[Point], wide: float) -> None:
        """A white bar with a black edge along a chain of points."""
        chain = "L".join(f"{x:.1f} {y:.1f}" for x, y in points)
        for colour, width in (("#000", wide), ("#fff", wide - 3)):
            self.parts.append(
                f'<path d="M{chain}" fill="none" stroke="{colour}" stroke-width="{width:g}" stroke-linejoin="round" '
                'stroke-linecap="round"/>'
            )

    def box(self, x: float, y: float, wide: float, tall: float, fill: str = "#fff", style: str = "") -> None:
        """A rectangle with a black edge."""
        size = f'x="{x:.1f}" y="{y:.1f}" width="{wide:.1f}" height="{tall:.1f}"'
        self.parts.append(f'<rect {size} fill="{fill}" stroke="#000" {style}/>')

    def disc(self, centre: Point, radius: float, fill: str = "#fff", style: str = "") -> None:
        """A circle with a black edge."""
        at = f'cx="{centre[0]:.1f}" cy="{centre[1]:.1f}" r="{radius:.1f}"'
        self.parts.append(f'<circle {at} fill="{fill}" stroke="#000" {style}/>')

    def arc(self, centre: Point, radius: float, ends: tuple[float, float], style: str = "") -> None:
        """Part of a circle; angles in degrees clockwise from the right, as SVG turns."""
        steps = [ends[0] + (ends[1] - ends[0]) * step / 24 for step in range(25)]
        self.path([(centre[0] + radius * cos(radians(a)), centre[1] + radius * sin(radians(a))) for a in steps], style)

    def measure(self, start: Point, end: Point) -> None:
        """A level dimension line with a stroke at both ends."""
        (x, y), (to, _) = start, end
        self.path([(x, y), (to, y)])
        for at in (x, to):
            self.path([(at, y - 5), (at, y + 5)])


DASHED = 'stroke-dasharray="5 4"'
HATCH = "url(#hatch)"
