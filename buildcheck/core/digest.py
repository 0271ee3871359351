"""A digest of plain data, to find out whether anything in it has changed."""

from __future__ import annotations

import json
from typing import Any

LENGTH = 16
"""So many hexadecimal digits are kept."""


def digest_of(data: Any) -> str:
    """First 16 hexadecimal digits of the SHA-256 over plain data, whatever the order of its keys.

    >>> digest_of({"a": 1, "b": 2}) == digest_of({"b": 2, "a": 1}) != digest_of({"a": 1, "b": 3})
    True
    """
    from hashlib import sha256  # which takes 3 ms to import, and most checks need no digest

    return sha256(json.dumps(data, sort_keys=True).encode()).hexdigest()[:LENGTH]
