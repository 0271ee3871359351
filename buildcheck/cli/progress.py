"""A bar on a terminal while a run takes longer than two seconds; nothing anywhere else."""

from __future__ import annotations

from time import monotonic
from typing import TextIO

DELAY = 2.0
"""Seconds before the bar is shown."""
INTERVAL = 0.1
_WIDTH = 30


class Progress:
    """Counts builds; the bar has a line of its own and is wiped before anything else is written."""

    def __init__(self, total: int, stream: TextIO, after: float = DELAY) -> None:
        self._total, self._stream = total, stream
        self._done = 0
        self._drawn = False
        self._next = monotonic() + after if stream.isatty() else float("inf")

    def step(self) -> None:
        """One more build is done."""
        self._done += 1
        if monotonic() >= self._next:
            filled = "#" * (_WIDTH * self._done // self._total)
            self._write(f"\r[{filled:<{_WIDTH}}] {self._done} of {self._total} builds")
            self._drawn, self._next = True, monotonic() + INTERVAL

    def clear(self) -> None:
        """Wipes the bar."""
        if self._drawn:
            self._write("\r\x1b[K")
            self._drawn = False

    def _write(self, text: str) -> None:
        self._stream.write(text)
        self._stream.flush()
