"""Calls the tool as a stranger's repository meets it, and holds every ending to the same terms."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

LOCATED = re.compile(r"^[^\n]+:\d+:\d+: error: [^\n]+ \[[a-z0-9 +-]+\]$", re.MULTILINE)


@dataclass(frozen=True)
class Ended:
    """How a call ended."""

    code: int
    out: str
    err: str
    cost: float
    """CPU time over that of a check of the example."""

    @property
    def errors(self) -> list[str]:
        """Located errors, one a line."""
        return LOCATED.findall(self.out)


Call = Callable[..., Ended]
