"""The drawings of the documentation: readable without colour and without eyes, and true to the geometry."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest

from buildcheck.output.explain.trade_words import TRADE_WORDS
from buildcheck.output.reference.drawings import DRAWINGS
from buildcheck.output.reference.glossary_page import ILLUSTRATED
from buildcheck.output.reference.mark_drawings import HEIGHT_ERROR, _at

SVG = "{http://www.w3.org/2000/svg}"


@pytest.mark.parametrize("name", DRAWINGS)
def test_a_drawing_has_title_and_text_alternative_and_only_black_grey_and_white(name: str) -> None:
    root = ElementTree.fromstring(DRAWINGS[name].svg)
    assert len(str(root.findtext(f"{SVG}title"))) > 5
    assert len(str(root.findtext(f"{SVG}desc"))) > 40
    colours = set(re.findall(r"#[0-9a-f]+", DRAWINGS[name].svg))
    assert colours <= {"#000", "#ccc", "#eee", "#fff"}


@pytest.mark.parametrize("name", DRAWINGS)
def test_no_text_runs_out_of_its_drawing(name: str) -> None:
    """A letter of the font is at most 0.58 of its size wide on average."""
    root = ElementTree.fromstring(DRAWINGS[name].svg)
    wide = DRAWINGS[name].size[0]
    for each in root.findall(f"{SVG}text"):
        x, length = float(each.attrib["x"]), 13 * 0.58 * len(each.text or "")
        left = x - {"start": 0.0, "middle": 0.5, "end": 1.0}[each.attrib["text-anchor"]] * length
        assert left >= 0, each.text
        assert left + length <= wide, each.text


def test_too_low_and_too_high_leave_the_same_mark_and_exchange_their_lines() -> None:
    low, right, high = (_at(error, "") for error in (HEIGHT_ERROR, 0.0, -HEIGHT_ERROR))
    assert low.mark == pytest.approx(high.mark)
    assert low.lines == pytest.approx((high.lines or ())[::-1])
    assert right.lines is not None
    assert right.lines[0] == pytest.approx(right.lines[1])
    assert low.lines is not None
    assert low.lines[0] < low.lines[1]
    assert right.mark[1] - right.mark[0] < low.mark[1] - low.mark[0]


def test_each_drawing_of_the_glossary_belongs_to_a_word() -> None:
    assert set(ILLUSTRATED) <= set(TRADE_WORDS)
    assert set(ILLUSTRATED.values()) <= set(DRAWINGS)
