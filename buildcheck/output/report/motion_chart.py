"""Draws lift curves and gap curves against crank angle: small SVGs in black and white."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from html import escape

from buildcheck.core.escape import one_line
from buildcheck.record import Record

WIDE, TALL, LEFT, RIGHT, TOP, FOOT = 480, 320, 20, 20, 44, 84
COLUMN = 33
"""Longest entry of a legend in two columns, letters."""
STYLES = {"": "solid", "7 3": "long dashes", "3 2": "short dashes"}
Point = tuple[float, float]


class Line(Record):
    """One line: crank angles (deg) with heights (m), its text in the legend, and its dashes (none: solid)."""

    text: str
    points: tuple[Point, ...]
    dashes: str = ""


class Spot(Record):
    """One point that is marked, with its text above it; a hollow one belongs to what is supposed."""

    text: str
    at: Point
    hollow: bool = False


def draw_motion(title: str, alt: str, lines: Sequence[Line], spots: Sequence[Spot]) -> str:
    """An SVG document, the same to the byte for the same lines; ``alt`` is for a reader who does not see it."""
    box = _box(lines)
    body = [*_head(title, alt), *(_path(line, box) for line in lines)]
    for spot in spots:
        body += _spot(spot, box)
    return "\n".join([*body, *_foot(lines, box), "</svg>", ""])


Box = tuple[float, float, float, float]


def _box(lines: Sequence[Line]) -> Box:
    """Least and greatest crank angle and height; zero height is always in it."""
    angles = [angle for line in lines for angle, _ in line.points]
    heights = [0.0, *(height for line in lines for _, height in line.points)]
    return min(angles), max(angles), min(heights), max(heights)


def _place(point: Point, box: Box) -> tuple[float, float]:
    first, last, low, high = box
    across = (point[0] - first) / (last - first) if last > first else 0.5
    up = (point[1] - low) / (high - low) if high > low else 0.5
    return LEFT + across * (WIDE - LEFT - RIGHT), TALL - FOOT - up * (TALL - FOOT - TOP)


def _head(title: str, alt: str) -> Iterator[str]:
    yield f'<svg xmlns="http://www.w3.org/2000/svg" width="{WIDE}" height="{TALL}" viewBox="0 0 {WIDE} {TALL}"'
    yield '     role="img" font-family="sans-serif" font-size="14" stroke="none">'
    yield f"<title>{escape(one_line(title))}</title>"
    yield f"<desc>{escape(one_line(alt))}</desc>"
    yield f'<rect width="{WIDE}" height="{TALL}" fill="#fff"/>'
    yield f'<text x="10" y="18" font-weight="bold">{escape(one_line(title))}</text>'


def _path(line: Line, box: Box) -> str:
    places = (_place(point, box) for point in line.points)
    drawn = "L".join(f"{x:.1f} {y:.1f}" for x, y in places)
    dashes = f' stroke-dasharray="{line.dashes}"' if line.dashes else ""
    return f'<path d="M{drawn}" fill="none" stroke="#000" stroke-width="1.5"{dashes}/>'


def _spot(spot: Spot, box: Box) -> Iterator[str]:
    x, y = _place(spot.at, box)
    fill = "#fff" if spot.hollow else "#000"
    yield f'<circle cx="{x:.1f}" cy="{y:.1f}" r="4" fill="{fill}" stroke="#000" stroke-width="1.5"/>'
    if spot.text:
        beside = min(max(x, WIDE * 0.2), WIDE * 0.8)
        yield f'<text x="{beside:.1f}" y="{y - 26:.1f}" text-anchor="middle">{escape(spot.text)}</text>'


def _foot(lines: Sequence[Line], box: Box) -> Iterator[str]:
    base = TALL - FOOT
    yield f'<path d="M{LEFT} {base}H{WIDE - RIGHT}" stroke="#000" stroke-width="0.5"/>'
    yield f'<text x="{LEFT}" y="{base + 16}">{box[0]:.0f} deg</text>'
    yield f'<text x="{WIDE - RIGHT}" y="{base + 16}" text-anchor="end">{box[1]:.0f} deg after overlap TDC</text>'
    entries = [f"{STYLES.get(line.dashes, 'dots')}: {one_line(line.text)}" for line in lines]
    columns = 2 if max(map(len, entries)) <= COLUMN else 1
    for number, entry in enumerate(entries):
        x, y = 10 + number % columns * WIDE // 2, base + 38 + number // columns * 17
        yield f'<text x="{x}" y="{y}">{escape(entry)}</text>'
