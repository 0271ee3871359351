"""Links of our own pages: each names a file that exists, and an anchor that its page has."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from functools import cache
from itertools import pairwise
from pathlib import Path
from urllib.parse import unquote

from markdown_it import MarkdownIt
from markdown_it.token import Token

ROOT = Path(__file__).parent.parent
PAGES = [ROOT / "README.md", ROOT / "DEVELOPERS.md", *sorted((ROOT / "docs").rglob("*.md"))]
PARSER = MarkdownIt("commonmark").enable("table")


@cache
def inline(page: Path) -> tuple[Token, ...]:
    """The text of a page's headings, paragraphs and cells, as parsed."""
    tokens = PARSER.parse(page.read_text(encoding="utf-8"))
    return tuple(child for token in tokens for child in token.children or ())


@cache
def anchors(page: Path) -> frozenset[str]:
    """The names that GitHub gives to the headings of a page."""
    tokens = PARSER.parse(page.read_text(encoding="utf-8"))
    pairs = pairwise(tokens)
    headings = [text.children or () for opening, text in pairs if opening.type == "heading_open"]
    seen: Counter[str] = Counter()
    found = set()
    for parts in headings:
        name = "".join(part.content for part in parts).lower()
        slug = re.sub(r"[^\w\- ]", "", name).replace(" ", "-")
        found.add(f"{slug}-{seen[slug]}" if seen[slug] else slug)
        seen[slug] += 1
    return frozenset(found)


def links(page: Path) -> Iterator[str]:
    """Targets within the repository."""
    for token in inline(page):
        target = str(token.attrs.get("href") or token.attrs.get("src") or "")
        if target and "://" not in target:
            yield unquote(target)


def fault(page: Path, target: str) -> str:
    """What is wrong with a link; empty if it leads somewhere."""
    name, _, anchor = target.partition("#")
    file = (page.parent / name).resolve() if name else page
    if not file.exists():
        return "no such file"
    return "no such heading" if anchor and anchor not in anchors(file) else ""


def test_every_link_leads_somewhere() -> None:
    found = [(page.name, target, fault(page, target)) for page in PAGES for target in links(page)]
    assert [(page, target, wrong) for page, target, wrong in found if wrong] == []


def test_links_are_found_and_faults_too() -> None:
    assert "docs/team.md" in [target.partition("#")[0] for target in links(ROOT / "README.md")]
    assert fault(ROOT / "README.md", "docs/absent.md") == "no such file"
    assert fault(ROOT / "README.md", "docs/ci.md#absent") == "no such heading"
    assert fault(ROOT / "README.md", "docs/ci.md#many-builds") == ""


def test_every_picture_has_a_text_alternative() -> None:
    pictures = [(page.name, token) for page in PAGES for token in inline(page) if token.type == "image"]
    assert [(name, token.attrs["src"]) for name, token in pictures if len(token.content) < 20] == []


def uneven_rows(page: Path) -> list[int]:
    """Lines of the table rows that have another number of cells than the head above them."""
    within, columns, wrong = False, 0, []
    for number, line in enumerate(page.read_text(encoding="utf-8").splitlines(), 1):
        cells = len(re.findall(r"(?<!\\)\|", line)) if line.startswith("| ") else 0
        within, columns = bool(cells), cells if cells and not within else columns
        if cells not in (0, columns):
            wrong.append(number)
    return wrong


def test_every_row_of_a_table_has_as_many_cells_as_its_head(tmp_path: Path) -> None:
    """A browser drops the cells that are too many."""
    assert {page.name: found for page in PAGES if (found := uneven_rows(page))} == {}
    (tmp_path / "page.md").write_text("| a | b |\n|---|---|\n| c | d |\n| e |\n")
    assert uneven_rows(tmp_path / "page.md") == [4]
