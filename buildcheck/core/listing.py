"""A long list in a sentence: its first names, and how many more there are."""

from __future__ import annotations

from collections.abc import Sequence


def first_names(names: Sequence[str], most: int) -> str:
    """At most so many names, and the number of the others.

    >>> first_names(["a", "b", "c"], 3), first_names(["a", "b", "c", "d"], 3)
    ('a, b, c', 'a, b, c and 1 more')
    """
    more = f" and {len(names) - most} more" if len(names) > most else ""
    return ", ".join(names[:most]) + more
