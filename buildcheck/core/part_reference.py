"""How a build file names a shared part: the key ``uses`` with the part's path from the repository's root."""

from __future__ import annotations

import re

USES = "uses"

_SEGMENT = r"[A-Za-z0-9][A-Za-z0-9._-]*"
_PATH = re.compile(rf"{_SEGMENT}(/{_SEGMENT})*\.yaml")


def is_part_path(text: str) -> bool:
    """Whether a part may have this path."""
    return _PATH.fullmatch(text) is not None
