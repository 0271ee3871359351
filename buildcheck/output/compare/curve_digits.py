"""A curve as one row of digits, so that plain text shows how it moved: 0 is zero, 9 the highest value drawn."""

from __future__ import annotations

from collections.abc import Sequence

COLUMNS = 31
Points = Sequence[tuple[float, float]]


def drawn(rows: Sequence[tuple[str, Points]], ends: tuple[float, float]) -> tuple[list[str], float]:
    """Named rows of digits between two crank angles (deg), blank where nothing was read, and the highest value."""
    heights = [_heights(points, ends) for _, points in rows]
    most = max((height for row in heights for height in row if height is not None), default=0.0)
    return [f"{name:<6} |{_digits(row, most)}|" for (name, _), row in zip(rows, heights, strict=True)], most


def _heights(points: Points, ends: tuple[float, float]) -> list[float | None]:
    first, last = points[0][0], points[-1][0]
    angles = [ends[0] + (ends[1] - ends[0]) * column / (COLUMNS - 1) for column in range(COLUMNS)]
    nearest = [min(points, key=lambda point: abs(point[0] - angle))[1] for angle in angles]
    return [height if first <= angle <= last else None for angle, height in zip(angles, nearest, strict=True)]


def _digits(heights: list[float | None], most: float) -> str:
    return "".join(
        " " if height is None else str(max(0, int(9 * height / most))) if most > 0 else "0" for height in heights
    )
