"""Drawings on the printed bench sheet, as SVG: the degree wheel of a stop, and what from, to and the lines mean."""

from __future__ import annotations

from collections.abc import Iterator
from html import escape
from math import cos, radians, sin

MIDDLE, RIM = 60, 44


def degree_wheel(crank: float) -> str:
    """A degree wheel with its zero at cylinder 1's top dead centre, and a hand at a stop's crank angle (0 to 720)."""
    shown = crank % 360
    x, y = _at(shown, RIM - 4)
    label = f"Degree wheel at {round(shown, 2):g} deg of the {'first' if crank < 360 else 'second'} turn"
    return "".join(
        [
            f'<svg class="wheel" viewBox="-5 -5 130 130" role="img"><title>{escape(label)}</title>',
            f'<circle cx="{MIDDLE}" cy="{MIDDLE}" r="{RIM}" fill="#fff" stroke="#000" stroke-width="1.5"/>',
            *_ticks(),
            f'<line x1="{MIDDLE}" y1="{MIDDLE}" x2="{x:.1f}" y2="{y:.1f}" stroke="#000" stroke-width="4"/>',
            f'<circle cx="{MIDDLE}" cy="{MIDDLE}" r="5" fill="#000"/></svg>',
        ]
    )


def _ticks() -> Iterator[str]:
    for angle in range(0, 360, 10):
        long = angle % 30 == 0
        (x, y), (to_x, to_y) = _at(angle, RIM), _at(angle, RIM + (6 if long else 3))
        yield f'<line x1="{x:.1f}" y1="{y:.1f}" x2="{to_x:.1f}" y2="{to_y:.1f}" stroke="#000"/>'
        if long:
            x, y = _at(angle, RIM + 13)
            text = "TDC" if angle == 0 else str(angle)
            yield f'<text x="{x:.1f}" y="{y + 2.5:.1f}" font-size="7" text-anchor="middle">{text}</text>'


def _at(angle: float, radius: float) -> tuple[float, float]:
    """A point on the wheel; angles count clockwise from the top."""
    return MIDDLE + radius * sin(radians(angle)), MIDDLE - radius * cos(radians(angle))


LEFT, RIGHT, TOP, TIP = 30, 330, 40, 46
FROM, TO, CLOSED, OPEN = 130, 215, 150, 175
"""Where the drawing puts the mark and the lines: an example, not a reading."""


def mark_key(roller: bool) -> str:
    """The valve tip from above: where from and to are measured, and the contact lines under a roller."""
    parts = [
        '<svg class="key" viewBox="0 0 360 190" role="img"><title>What from, to and the lines mean</title>',
        f'<rect x="{LEFT}" y="{TOP}" width="{RIGHT - LEFT}" height="{TIP}" rx="8" fill="#fff" stroke="#000"/>',
        f'<rect x="{FROM}" y="{TOP}" width="{TO - FROM}" height="{TIP}" fill="#ccc" stroke="#000"/>',
        _text(LEFT, TOP - 8, "pivot side", "start"),
        _text(RIGHT, TOP - 8, "far side", "end"),
        _text((FROM + TO) / 2, TOP - 8, "mark"),
        *_length("from", FROM, TOP + TIP + 16),
        *_length("to", TO, TOP + TIP + 36),
    ]
    if roller:
        for number, (name, x) in enumerate((("line, valve closed", CLOSED), ("line, full lift", OPEN))):
            dashes = ' stroke-dasharray="5 3"' if x == OPEN else ""
            parts.append(f'<path d="M{x} {TOP}v{TIP}" stroke="#000" stroke-width="2"{dashes}/>')
            parts += _length(name, x, TOP + TIP + 56 + 20 * number)
    return "".join([*parts, "</svg>"])


def _length(name: str, end: float, y: float) -> Iterator[str]:
    """A length from the tip's pivot-side edge, with its name behind it."""
    yield f'<path d="M{LEFT} {y}H{end}M{LEFT} {y - 4}v8M{end} {y - 4}v8" stroke="#000" fill="none"/>'
    yield _text(end + 6, y + 4, name, "start")


def _text(x: float, y: float, text: str, anchor: str = "middle") -> str:
    return f'<text x="{x}" y="{y}" font-size="12" text-anchor="{anchor}">{escape(text)}</text>'
