"""Draws what lies on a valve tip in one line of plain text, the pivot side on the left."""

from __future__ import annotations

_COLUMNS = 32


def mark_strip(low: float, high: float) -> str:
    """The tip with ``#`` where the mark lies, in at least one column, and ``:`` at the middle; edges as shares of it.

    >>> mark_strip(0.25, 0.375)
    '        ####    :               '
    """
    low, high = sorted(min(max(edge, 0.0), 1.0) for edge in (low, high))
    first = min(int(low * _COLUMNS), _COLUMNS - 1)
    last = max(first + 1, round(high * _COLUMNS))
    blank = [":" if column == _COLUMNS // 2 else " " for column in range(_COLUMNS)]
    return "".join("#" if first <= column < last else blank[column] for column in range(_COLUMNS))


def allowed_strip(edge: float, centre: float) -> str:
    """The tip with ``[`` and ``]`` at the limits of a mark's edges, and ``=`` where its centre may lie.

    >>> allowed_strip(0.1, 0.125)
    '   [........====:====.......]   '
    """
    first = min(round(edge * _COLUMNS), _COLUMNS // 2 - 1)
    last, reach = _COLUMNS - 1 - first, round(centre * _COLUMNS)
    row = ["." if first < column < last else " " for column in range(_COLUMNS)]
    for column in range(max(_COLUMNS // 2 - reach, 0), min(_COLUMNS // 2 + reach + 1, _COLUMNS)):
        row[column] = "="
    row[_COLUMNS // 2] = ":"
    row[first], row[last] = "[", "]"
    return "".join(row)
