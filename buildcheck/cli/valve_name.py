"""The name of one valve as it is typed: ``3/exhaust``."""

from __future__ import annotations

from types import MappingProxyType

from buildcheck.core.escape import one_line
from buildcheck.core.subject import VALVE_TYPES, Subject
from buildcheck.core.usage_error import UsageError

_OTHER_WORDS = MappingProxyType({"ex": "exhaust", "exh": "exhaust", "in": "intake", "inlet": "intake", "int": "intake"})
"""Other words for a valve, and the one that this program uses."""


def subject_of(text: str) -> Subject:
    """The valve that is named ``3/exhaust``. Raises UsageError for anything else, with the word that was meant."""
    cylinder, _, valve = text.partition("/")
    meant = _OTHER_WORDS.get(valve.lower(), valve.lower())
    if not (cylinder.isascii() and cylinder.isdecimal()) or meant not in VALVE_TYPES:
        raise UsageError(f"enter cylinder and valve, such as 3/exhaust, not {one_line(text)!r}")
    if meant != valve:
        raise UsageError(f"{one_line(text)}: use {cylinder}/{meant}")
    return Subject(int(cylinder), valve)
