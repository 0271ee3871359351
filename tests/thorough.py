"""How much is tried of what is drawn or simulated: a sample in daily work, all with ``THOROUGH=1``."""

from __future__ import annotations

import os
from collections.abc import Iterable, Sequence
from typing import TypeVar

import pytest

T = TypeVar("T")
S = TypeVar("S")
THOROUGH = bool(os.environ.get("THOROUGH"))
in_ci_only = pytest.mark.skipif(not THOROUGH, reason="takes too long for daily work: THOROUGH=1")
over_all_draws = pytest.mark.skipif(not THOROUGH, reason="holds over all draws: THOROUGH=1")


def sample(items: Iterable[T], few: int) -> list[T]:
    """All of them, or a few from the whole range, the first among them."""
    found = list(items)
    return found if THOROUGH else found[:: -(-len(found) // few)]


def number(few: int, many: int) -> int:
    return many if THOROUGH else few


def pairs(first: Sequence[S], second: Sequence[T]) -> list[tuple[S, T]]:
    """All pairs, or so many that each item of both is in one."""
    turns = min(len(first), len(second))
    return [
        (one, other)
        for i, one in enumerate(first)
        for j, other in enumerate(second)
        if THOROUGH or i % turns == j % turns
    ]
