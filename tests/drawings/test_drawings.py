"""The drawings of the documentation: current, in black and white, each with its text alternative in the pages."""

from __future__ import annotations

import re
import sys
from pathlib import Path
from xml.etree import ElementTree

import pytest

sys.path.insert(0, str(Path(__file__).parent))

from figures import FIGURES
from rocker_view import LIFT, TIP, mark_at

ROOT = Path(__file__).parent.parent.parent
FOLDER = ROOT / "docs" / "drawings"
COMMAND = "python tests/drawings/draw.py"
PAGES = [ROOT / "README.md", *sorted((ROOT / "docs").glob("*.md"))]
USED = [
    (page.name, alt, name)
    for page in PAGES
    for alt, name in re.findall(r"!\[([^\]]*)\]\((?:docs/)?drawings/([\w-]+)\.svg\)", page.read_text(encoding="utf-8"))
]
each_drawing = pytest.mark.parametrize("name", sorted(FIGURES))


def title(name: str) -> str:
    """The text alternative inside a drawing."""
    root = ElementTree.parse(FOLDER / f"{name}.svg").getroot()
    return str(root.findtext("{http://www.w3.org/2000/svg}title"))


@each_drawing
def test_it_is_current(name: str) -> None:
    assert (FOLDER / f"{name}.svg").read_text(encoding="utf-8") == FIGURES[name](), f"run: {COMMAND}"


def test_there_is_no_other_drawing() -> None:
    assert {path.stem for path in FOLDER.iterdir()} == set(FIGURES), f"run: {COMMAND}"


@each_drawing
def test_it_is_black_and_white(name: str) -> None:
    colours = set(re.findall(r'(?:fill|stroke)="([^"]*)"', FIGURES[name]()))
    assert colours <= {"#000", "#fff", "#ccc", "none", "url(#hatch)"}


@each_drawing
def test_every_text_is_inside_the_paper(name: str) -> None:
    root = ElementTree.fromstring(FIGURES[name]())
    _, top, wide, tall = (float(number) for number in root.attrib["viewBox"].split())
    for text in root.iter("{http://www.w3.org/2000/svg}text"):
        x, y = float(text.attrib["x"]), float(text.attrib["y"])
        half = 3.3 * len(str(text.text)) * float(text.get("font-size", "13")) / 13
        left = {"start": x, "middle": x - half, "end": x - 2 * half}[text.get("text-anchor", "start")]
        assert -6 <= left <= left + 2 * half <= wide + 6, text.text
        assert top < y < tall


def test_pages_give_each_drawing_its_own_text_alternative() -> None:
    assert [(page, name) for page, alt, name in USED if alt != title(name)] == []


def test_the_pages_show_the_good_and_the_bad_mark_first() -> None:
    assert USED[0][::2] == ("README.md", "good-and-bad-mark")


def test_the_finding_in_the_drawing_is_the_one_in_the_readme() -> None:
    root = ElementTree.fromstring(FIGURES["good-and-bad-mark"]())
    words = " ".join(str(text.text) for text in root.iter("{http://www.w3.org/2000/svg}text"))
    red = re.search(
        r"^ *(example_build/\S+: error: .*)$", (ROOT / "README.md").read_text(encoding="utf-8"), re.MULTILINE
    )
    assert red is not None
    assert re.sub(r"\s", "", red[1]) in re.sub(r"\s", "", words)


def test_a_pivot_too_low_or_too_high_leaves_a_wide_mark_nearer_the_pivot() -> None:
    low, right, high = (mark_at(error) for error in (0.3, 0.0, -0.3))
    assert low.far - low.near == pytest.approx(high.far - high.near)
    assert low.far - low.near > 2 * (right.far - right.near)
    assert (low.near + low.far) / 2 < (right.near + right.far) / 2 == pytest.approx(TIP / 2)
    assert low.closed < low.full
    assert right.closed == pytest.approx(right.full)
    assert high.closed > high.full
    assert LIFT > 0.3
