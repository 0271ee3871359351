"""The usual uncertainty of a kind of gauge: what a reading has at least if its file states no uncertainty.

All figures are common practice, no published source; a stated uncertainty always comes first.
"""

from __future__ import annotations

from functools import lru_cache
from types import MappingProxyType

INCH = 0.0254

USUAL = MappingProxyType(
    {
        "caliper": 0.001 * INCH,
        "clay": 0.010 * INCH,
        "dial": 0.001 * INCH,
        "feeler": 0.002 * INCH,
        "graticule": 0.003 * INCH,
        "loupe": 0.003 * INCH,
        "micrometer": 0.0005 * INCH,
        "rule": INCH / 64,
        "ruler": INCH / 64,
        "tape": INCH / 32,
        "wire": 0.003 * INCH,
    }
)
"""A word in the name of a gauge -> its usual expanded uncertainty (m, k = 2)."""

CLEARANCE = 0.003 * INCH
"""Of a clearance read with a gauge of no known kind: feeler and wire (m, k = 2)."""
LENGTH = 0.001 * INCH
"""Of a pushrod length read with a gauge of no known kind: a caliper (m, k = 2)."""
DIAL = USUAL["dial"]
"""Of a lift read with a gauge of no known kind: a dial indicator (m, k = 2)."""
MARK = 0.003 * INCH
"""Of the edge of a mark or a contact line read with a gauge of no known kind: a loupe (m, k = 2)."""


INSTRUMENTS = MappingProxyType(
    {"clearance": ("feeler", "dial"), "length": ("caliper", "micrometer"), "mark": ("loupe",)}
)
"""What each kind of reading is usually taken with, the coarsest first."""
NAMES = MappingProxyType({"dial": "dial indicator", "feeler": "feeler gauge", "loupe": "loupe with graticule"})
"""The whole name of a gauge where a word is not enough."""


def usual_instrument(kind: str, good_to: float) -> str:
    """The coarsest usual instrument for a kind of reading with at most this expanded uncertainty (m); empty if none.

    >>> usual_instrument("length", 0.0008 * INCH), usual_instrument("mark", 0.001 * INCH)
    ('micrometer', '')
    """
    fit = [word for word in INSTRUMENTS[kind] if USUAL[word] <= good_to]
    return NAMES.get(fit[0], fit[0]) if fit else ""


@lru_cache(maxsize=1000)
def usual_uncertainty(name: str, otherwise: float) -> float:
    """Expanded uncertainty (m) of the coarsest gauge that a name mentions; ``otherwise`` if it mentions none.

    >>> usual_uncertainty("steel rule", LENGTH) == INCH / 64, usual_uncertainty("", LENGTH) == LENGTH
    (True, True)
    """
    words = name.lower().replace("-", " ").split()
    return max((USUAL[word] for word in words if word in USUAL), default=otherwise)
