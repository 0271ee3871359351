"""The glossary: the words of the trade as ``explain`` answers them, with drawings."""

from __future__ import annotations

from collections.abc import Iterator
from types import MappingProxyType

from buildcheck.output.explain.trade_words import TRADE_WORDS
from buildcheck.output.markdown import md
from buildcheck.output.reference.drawings import DRAWINGS

ILLUSTRATED = MappingProxyType(
    {
        "adjustable checking pushrod": "turns",
        "base circle": "base-circle",
        "coil bind": "valve-spring",
        "concession": "concession",
        "contact line": "contact-lines",
        "gauge length": "pushrod-lengths",
        "installed height": "valve-spring",
        "lash cap": "lash-cap",
        "mid-lift": "pivot-heights",
        "overall length": "pushrod-lengths",
        "pivot": "free-and-fixed-pivot",
        "retainer to seal": "valve-spring",
        "shim": "shim",
        "stage": "stages",
        "turns": "turns",
        "undecided": "undecided",
        "witness mark": "reading-a-mark",
        "zero lash": "slack-and-tight",
    }
)
"""Word -> its drawing."""


def glossary_page() -> Iterator[str]:
    """The lines of the page."""
    yield from ("# Glossary", "", "`buildcheck explain WORD` answers with the same text.")
    for word, meaning in TRADE_WORDS.items():
        yield from ("", f"## {word}", "", md(meaning))
        if word in ILLUSTRATED:
            yield from ("", picture(ILLUSTRATED[word]))


def picture(name: str, folder: str = "drawings") -> str:
    """A drawing in Markdown, with its text alternative."""
    return f"![{DRAWINGS[name].alt}]({folder}/{name}.svg)"
