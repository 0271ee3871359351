"""Keeps a comment below the length that hosting services take: shortens the least important parts first."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from buildcheck.core.plural import counted
from buildcheck.record import Record

Item = tuple[str, ...]
"""One line or paragraph, its longest form first. An empty last form may be left out, and is then counted."""
_ROOM_FOR_COUNTS = 400


class Section(Record):
    """Items between two texts, not written without an item. Sections of a higher ``rank`` are shortened first.

    ``noun`` names what is counted if items are left out.
    """

    rank: int
    noun: str
    opening: str
    items: tuple[Item, ...]
    closing: str = ""


def fitted(sections: Sequence[Section], limit: int) -> str:
    """The sections as one text of at most ``limit`` bytes, if their shortest forms allow it.

    >>> notes = Section(2, "note", "Notes", (("- a long note", ""), ("- b", "")))
    >>> print(fitted([Section(0, "", "Head", (("x",),)), notes], 1000), end="")
    Head
    x
    Notes
    - a long note
    - b
    >>> print(fitted([Section(0, "", "Head", (("x",),)), notes], 10), end="")
    Head
    x
    <BLANKLINE>
    Left out to keep this short: 2 notes.
    """
    levels = [[0] * len(section.items) for section in sections]
    size = len(_text(sections, levels).encode())
    room = limit if size <= limit else limit - _ROOM_FOR_COUNTS
    for number, index in _order(sections):
        if size <= room:
            break
        forms, level = sections[number].items[index], levels[number][index] + 1
        size -= len(forms[level - 1].encode()) - len(forms[level].encode())
        levels[number][index] = level
    return _text(sections, levels)


def _order(sections: Sequence[Section]) -> Iterator[tuple[int, int]]:
    """Which item to shorten next: the highest rank first, within it the last section and item first."""
    for rank in sorted({section.rank for section in sections}, reverse=True):
        of_rank = [(number, section) for number, section in enumerate(sections) if section.rank == rank]
        most = max((len(forms) for _, section in of_rank for forms in section.items), default=1)
        for level in range(1, most):
            for number, section in reversed(of_rank):
                yield from ((number, i) for i in reversed(range(len(section.items))) if level < len(section.items[i]))


def _text(sections: Sequence[Section], levels: Sequence[Sequence[int]]) -> str:
    lines: list[str] = []
    left_out: Counter[str] = Counter()
    for section, chosen_levels in zip(sections, levels, strict=True):
        chosen = list(zip(section.items, chosen_levels, strict=True))
        found = [text for forms, level in chosen if (text := forms[level])]
        left_out[section.noun] += sum(level > 0 and not forms[level] for forms, level in chosen)
        if found:
            lines += (text for text in (section.opening, *found, section.closing) if text)
    counts = ", ".join(counted(number, noun) for noun, number in left_out.items() if number)
    lines += ["", f"Left out to keep this short: {counts}."] if counts else []
    return "".join(f"{line}\n" for line in lines)
