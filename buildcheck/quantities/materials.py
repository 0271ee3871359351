"""What a part is made of, as people write it: which of the metals that are known a text means."""

from __future__ import annotations

import re
from functools import lru_cache
from types import MappingProxyType

from buildcheck.formulas.thermal_expansion import EXPANSION

NAMES = MappingProxyType(
    {name: name for name in EXPANSION}
    | {
        "aluminium": "aluminium alloy",
        "austenitic stainless": "austenitic stainless steel",
        "iron": "grey cast iron",
        "martensitic stainless": "martensitic stainless steel",
        "titanium": "titanium alloy",
    }
)
"""As written -> the metal meant. The spread of grey cast iron's coefficient holds that of other cast irons."""

KEPT = 1_024
"""Materials kept once read: a shop's builds repeat them."""
_ONE_OF = f"write one of {', '.join(EXPANSION)}"
_STAINLESS = "enter austenitic stainless steel or martensitic stainless steel: they expand differently"


@lru_cache(maxsize=KEPT)
def metal(written: str) -> str:
    """The metal of EXPANSION with the longest name that a text holds, in British or American spelling.

    Raises ValueError, saying what to write, where it names none, or several.

    >>> metal("Gray cast iron, class 40"), metal("6061 aluminum"), metal("chromoly steel")
    ('grey cast iron', 'aluminium alloy', 'steel')
    """
    text = _spelled(written)
    found = [name for name in NAMES if re.search(rf"\b{name}\b", text)]
    metals = sorted({NAMES[name] for name in found if not any(name in longer for longer in found if longer != name)})
    if re.search("stainless|austenitic|martensitic", text) and not any("stainless" in name for name in metals):
        raise ValueError(f"{written!r} can be either: {_STAINLESS}")
    if len(metals) != 1:
        raise ValueError(f"{written!r} names {' and '.join(metals) or 'no metal with a known expansion'}: {_ONE_OF}")
    return metals[0]


def metal_as_such(written: str) -> str:
    """The same of a part that no other metal may pass for: the name alone, so that 21-4N steel is not taken for steel.

    >>> metal_as_such("Austenitic stainless")
    'austenitic stainless steel'
    """
    text = _spelled(written)
    if text in NAMES:
        return NAMES[text]
    remark = _STAINLESS if text == "stainless steel" else f"{_ONE_OF}, and its grade under note"
    raise ValueError(f"{written!r} is not the name of one metal: {remark}")


def _spelled(written: str) -> str:
    return " ".join(written.lower().replace("aluminum", "aluminium").replace("gray", "grey").split())
