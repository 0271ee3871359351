"""Draws the required lengths of all valves as a strip chart: a small SVG in black and white."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from html import escape

from buildcheck.core.escape import one_line
from buildcheck.output.report.length_rows import LengthRow

WIDE, LEFT, RIGHT, TOP, ROW, FOOT = 480, 110, 20, 34, 20, 46
LEGEND = (
    "dot and line: required length and its uncertainty (k = 2); box: allowed lengths;",
    "dashed line: ordered length; no dot: not measured, assumed to match the others",
)


def draw_lengths(title: str, alt: str, rows: Sequence[LengthRow], ends: tuple[str, str]) -> str:
    """An SVG document, one row a valve over one scale; ``ends`` are the texts of the scale's ends (see ``scale``).

    ``alt`` is the text for a reader who does not see it. The same to the byte for the same rows.
    """
    tall = TOP + ROW * len(rows) + FOOT
    lines = [*_head(title, alt, tall)]
    for number, row in enumerate(rows):
        lines += _row(row, TOP + ROW * number + ROW // 2, scale(rows))
    return "\n".join([*lines, *_foot(ends, tall), "</svg>", ""])


def scale(rows: Sequence[LengthRow]) -> tuple[float, float]:
    """Shortest and longest length that is drawn, m."""
    drawn = [end for row in rows for end in _lengths(row)]
    return min(drawn), max(drawn)


def _lengths(row: LengthRow) -> Iterator[float]:
    if row.required is not None:
        yield from (row.required[0] - row.required[1], row.required[0] + row.required[1])
    for low, high in row.allowed:
        yield from (low, high)
    if row.ordered is not None:
        yield row.ordered


def _head(title: str, alt: str, tall: int) -> Iterator[str]:
    yield f'<svg xmlns="http://www.w3.org/2000/svg" width="{WIDE}" height="{tall}" viewBox="0 0 {WIDE} {tall}"'
    yield '     role="img" font-family="sans-serif" font-size="11" stroke="none">'
    yield f"<title>{escape(one_line(title))}</title>"
    yield f"<desc>{escape(one_line(alt))}</desc>"
    yield f'<rect width="{WIDE}" height="{tall}" fill="#fff"/>'
    yield f'<text x="10" y="18" font-weight="bold">{escape(one_line(title))}</text>'


def _row(row: LengthRow, middle: int, ends: tuple[float, float]) -> Iterator[str]:
    yield f'<text x="10" y="{middle + 4}">{escape(one_line(row.text))}</text>'
    for low, high in row.allowed:
        x, right = _x(low, ends), _x(high, ends)
        box = f'x="{x:.1f}" y="{middle - 6}" width="{right - x:.1f}" height="12"'
        yield f'<rect {box} fill="none" stroke="#000"/>'
    if row.required is not None:
        length, doubt = row.required
        low, high = _x(length - doubt, ends), _x(length + doubt, ends)
        yield f'<path d="M{low:.1f} {middle}H{high:.1f}" stroke="#000" stroke-width="2"/>'
        yield f'<circle cx="{_x(length, ends):.1f}" cy="{middle}" r="3.5" fill="#000"/>'
    if row.ordered is not None:
        yield f'<path d="M{_x(row.ordered, ends):.1f} {middle - 10}v20" stroke="#000" stroke-dasharray="3 2"/>'


def _x(length: float, ends: tuple[float, float]) -> float:
    across, span = WIDE - LEFT - RIGHT, ends[1] - ends[0]
    return LEFT + across * ((length - ends[0]) / span if span > 0 else 0.5)


def _foot(ends: tuple[str, str], tall: int) -> Iterator[str]:
    yield f'<text x="{LEFT}" y="{tall - 34}">{escape(ends[0])}</text>'
    yield f'<text x="{WIDE - RIGHT}" y="{tall - 34}" text-anchor="end">{escape(ends[1])}</text>'
    yield from (f'<text x="10" y="{tall - 20 + 13 * line}">{text}</text>' for line, text in enumerate(LEGEND))
