"""A digest of plain data, to find out whether anything in it has changed."""

from __future__ import annotations

import json
from hashlib import sha256
from typing import Any

LENGTH = 16
"""So many hexadecimal digits are kept."""


def digest_of(data: Any) -> str:
    """First 16 hexadecimal digits of the SHA-256 over plain data, whatever the order of its keys.

    >>> digest_of({"a": 1, "b": 2}) == digest_of({"b": 2, "a": 1}) != digest_of({"a": 1, "b": 3})
    True
    """
    return sha256(json.dumps(data, sort_keys=True).encode()).hexdigest()[:LENGTH]
