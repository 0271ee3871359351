"""Numbers in the sentences of the documents that are limits of the program: each is the one in the code."""

from __future__ import annotations

import pytest
from documents import ROOT

from buildcheck.build import parts
from buildcheck.formulas import repeatability
from buildcheck.output import sarif
from buildcheck.output.compare import compare_markdown
from buildcheck.rules import rule_loader
from buildcheck.yamlio import yaml_text

FIGURES = [
    ("docs/ci.md", "at most {:,} results", sarif.MOST_RESULTS),
    ("docs/compare.md", "below {:,} bytes", compare_markdown.LIMIT),
    ("docs/robustness.md", "{:,} values at most come from parts", parts.MOST_VALUES),
    ("docs/robustness.md", "at most {} rules are read", rule_loader.MOST_RULES),
    ("docs/security.md", "above {} KB are refused", yaml_text.LIMIT_BYTES // 1024),
    ("docs/team.md", "scatter more than usual (F test, {:.0%}", repeatability.WORSE_DAY),
]


@pytest.mark.parametrize(("page", "words", "figure"), FIGURES)
def test_a_limit_in_a_sentence_is_that_of_the_code(page: str, words: str, figure: float) -> None:
    assert words.format(figure).replace("%", " %") in (ROOT / page).read_text(encoding="utf-8")
