"""Which pitches a metric thread of a diameter has: ISO 261, from memory."""

from __future__ import annotations

from decimal import Decimal
from types import MappingProxyType


def _sizes(text: str) -> tuple[Decimal, ...]:
    return tuple(map(Decimal, text.split()))


def _pitches(rows: str) -> dict[Decimal, tuple[Decimal, ...]]:
    pairs = (row.split(maxsplit=1) for row in rows.split(", "))
    return {Decimal(diameter): _sizes(pitches) for diameter, pitches in pairs}


_COARSE = MappingProxyType(  # diameter -> coarse pitch, and finer ones that are not among _FINE, mm
    _pitches(
        "1 0.25, 1.2 0.25, 1.4 0.3, 1.6 0.35, 1.8 0.35, 2 0.4, 2.2 0.45, 2.5 0.45, 3 0.5, 3.5 0.6, 4 0.7, 4.5 0.75, "
        "5 0.8, 6 1, 7 1, 8 1.25, 9 1.25, 10 1.5 1.25, 11 1.5, 12 1.75 1.25, 14 2 1.25, 16 2, 18 2.5, 20 2.5, 22 2.5, "
        "24 3, 27 3, 30 3.5, 33 3.5, 36 4, 39 4, 42 4.5 4, 45 4.5 4, 48 5 4, 52 5 4, 56 5.5 4, 60 5.5 4, 64 6 4"
    )
)
_FINE = _sizes("3 2 1.5 1 0.75 0.5 0.35 0.25 0.2")
_EVERY = _sizes("8 6 5.5 5 4.5 4 3.5 3 2.5 2 1.75 1.5 1.25 1 0.8 0.75 0.7 0.6 0.5 0.45 0.4 0.35 0.3 0.25 0.2")
_SHOWN = 3


def pitches(diameter: Decimal) -> tuple[Decimal, ...]:
    """The pitches (mm) of a diameter (mm), coarsest first; of a diameter that is not listed, every pitch.

    Source: ISO 261, from memory: the coarse pitch, and the fine ones below it.

    >>> [str(pitch) for pitch in pitches(Decimal(8))[:4]]
    ['1.25', '1', '0.75', '0.5']
    """
    if diameter not in _COARSE:
        return _EVERY
    coarse = _COARSE[diameter]
    return (*coarse, *(pitch for pitch in _FINE if pitch < coarse[0] and pitch not in coarse))


def nearest_threads(diameter: Decimal, pitch: Decimal) -> str:
    """The threads of a diameter with the nearest pitches, as they are written.

    >>> nearest_threads(Decimal(8), Decimal("1.3"))
    'M8x1.25, M8x1 or M8x0.75'
    """
    near = sorted(pitches(diameter), key=lambda one: abs(one - pitch))[:_SHOWN]
    *first, last = (f"M{diameter.normalize():f}x{one}" for one in sorted(near, reverse=True))
    return f"{', '.join(first)} or {last}"
