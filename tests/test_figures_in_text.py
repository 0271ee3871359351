"""Numbers in the sentences of the documents that are limits of the program: each is the one in the code."""

from __future__ import annotations

from math import cos, pi

import pytest
from documents import ROOT

from buildcheck.build import parts
from buildcheck.formulas import outlier, repeatability
from buildcheck.formulas.compression import piston_position
from buildcheck.ordering import assumed_risk
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
    ("docs/team.md", "its own spread counts alone (F test, {:.0%} for the risk", assumed_risk.UNLIKE_THE_SHOP),
    ("docs/team.md", "for the risk, {:.0%} for the search)", outlier.OTHER_SCATTER),
    ("tests/bench/README.md", "if it scatters clearly more (F test, {:.0%})", outlier.OTHER_SCATTER),
]


@pytest.mark.parametrize(("page", "words", "figure"), FIGURES)
def test_a_limit_in_a_sentence_is_that_of_the_code(page: str, words: str, figure: float) -> None:
    assert words.format(figure).replace("%", " %") in (ROOT / page).read_text(encoding="utf-8")


MOTION = (ROOT / "docs/measured-motion.md").read_text(encoding="utf-8")
STROKE, ROD = 3.765, 6.310
"""Of the demo, in."""


def least_gap(shape: float) -> float:
    """Least gap of a lobe of 264 deg and 0.500 in around its overlap, less what the pocket adds, in."""
    lifts = {crank: 0.5 * cos(abs(crank - 107) / 264 * pi) ** shape for crank in range(-24, 80)}
    return min(piston_position(STROKE, ROD, crank) - lift for crank, lift in lifts.items())


def test_cams_with_equal_events_and_equal_lift_differ_in_their_least_gap() -> None:
    gaps = [least_gap(shape) for shape in (1.5, 2.0, 2.5)]
    assert f"can differ by {max(gaps) - min(gaps):.2f} in in their least piston clearance" in MOTION


def test_what_a_degree_of_top_dead_centre_is_worth() -> None:
    before, top, after = (piston_position(STROKE, ROD, crank) for crank in (-1, 0, 1))
    assert f"by about {before + after - 2 * top:.4f} in for each degree of crank" in MOTION
