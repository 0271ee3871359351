"""How the uncertainty of readings reaches what is computed from them: JCGM 100:2008 (GUM), 5.1."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from math import hypot


def partials(function: Callable[..., float], values: Sequence[float], us: Sequence[float]) -> list[float]:
    """What each value's standard uncertainty does to the result: sensitivity × u, signed, in its unit.

    ``function`` takes the values one by one. By central difference over value ± u (5.1.3, note 2), so it
    must be smooth and defined there; a value with u = 0 adds nothing and is not tried.

    >>> partials(lambda length, width: length * width, [3.0, 2.0], [0.5, 0.25])
    [1.0, 0.75]
    """
    if any(u < 0 for u in us):
        raise ValueError("an uncertainty cannot be negative")

    def shifted(i: int, by: float) -> float:
        return function(*values[:i], values[i] + by, *values[i + 1 :])

    pairs = enumerate(zip(values, us, strict=True))
    return [(shifted(i, u) - shifted(i, -u)) / 2 if u else 0.0 for i, (_, u) in pairs]


def combined(parts: Iterable[float]) -> float:
    """Combined standard uncertainty of independent parts: root of the sum of squares (JCGM 100:2008, 5.1.2).

    >>> combined([3.0, -4.0])
    5.0
    """
    return hypot(*parts)
