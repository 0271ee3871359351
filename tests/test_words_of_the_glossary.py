"""One thing has one word in the documents: the words of the glossary, and none of their synonyms outside it."""

from __future__ import annotations

import re

import pytest
from documents import ROOT, tokens
from markdown_it.token import Token

from buildcheck.output.explain.trade_words import TRADE_WORDS

PAGES = [path.relative_to(ROOT).as_posix() for path in [ROOT / "README.md", *sorted((ROOT / "docs").rglob("*.md"))]]
SYNONYMS = {
    "heel": "base circle",
    "contact pattern": "witness mark",
    "sweep pattern": "witness mark",
    "stand-in lifter": "solid checking lifter",
    "locked lifter": "solid checking lifter",
    "solid height": "coil bind",
    "waiver": "concession",
    "exemption": "concession",
}
"""A synonym -> the word of the glossary."""
ALLOWED = {("docs/reference/glossary.md", "heel"), ("docs/reference/glossary.md", "contact pattern"),
           ("docs/reference/glossary.md", "sweep pattern")}  # fmt: skip
"""Where the glossary itself names a synonym."""


def prose(page: str) -> str:
    """The sentences of a page, without code and without the names of formulas."""
    return "\n".join(" ".join(_plain(token.children)) for token in tokens(page) if token.children)


def _plain(children: list[Token]) -> list[str]:
    words, within = [], ""
    for child in children:
        if child.type == "link_open":
            within = str(child.attrs["href"])
        elif child.type == "link_close":
            within = ""
        elif child.type == "text" and not f"{within}{child.content}".startswith(("#formula", "Formula ")):
            words.append(child.content)
    return words


@pytest.mark.parametrize("page", PAGES)
def test_a_page_has_the_words_of_the_glossary_and_none_of_their_synonyms(page: str) -> None:
    text = prose(page).lower()
    found = {word for word in SYNONYMS if re.search(rf"(?<![\w-]){word}s?(?![\w-])", text)}
    assert {(page, word) for word in found} <= ALLOWED


def test_the_synonyms_belong_to_words_of_the_glossary() -> None:
    assert set(SYNONYMS.values()) <= set(TRADE_WORDS)
