"""How the uncertainty of readings reaches what is computed from them: JCGM 100:2008 (GUM), 5.1."""

from __future__ import annotations

from collections.abc import Iterable
from math import hypot


def combined(parts: Iterable[float]) -> float:
    """Combined standard uncertainty of independent parts: root of the sum of squares (JCGM 100:2008, 5.1.2).

    >>> combined([3.0, -4.0])
    5.0
    """
    return hypot(*parts)
