"""Lengths that keep a plain tip's mark on its middle: out to where the mark itself, not a slope, meets a limit."""

from __future__ import annotations

from math import sqrt
from pathlib import Path

import pytest
from altered import SIX, facts_in
from bench import PAD_TIP, judged, lay_out, trials

from buildcheck.build.facts import Facts
from buildcheck.core.subject import Subject
from buildcheck.core.value import Undecided
from buildcheck.ordering.allowed_lengths import length_requirement

ONE, INCH = Subject(1, "intake"), 0.0254
ARM, LIFT, TIP, FACTOR, AIM = 1.550, 0.280 * 1.6, 0.310, 1.625, 0.040
BEST = 0.700
"""Height of the pad's centre over the pivot, valve shut, at 9.400 in."""


def mark(height: float, off: float) -> tuple[float, float]:
    """The sweep's edges on the tip: a pad whose centre stays above the pivot touches farther out as it comes down."""
    near, far = (sqrt(ARM**2 - s**2) for s in (height, height - LIFT))
    middle = sum(sqrt(ARM**2 - s**2) for s in (BEST, BEST - LIFT)) / 2
    return near - middle + off + TIP / 2, far - middle + off + TIP / 2


def build(folder: Path, off: float = 0.0) -> Facts:
    low, high = mark(BEST, off)
    rods = (Path(__file__).parent.parent / "example_build/pushrods.yaml").read_text()
    rods = rods.replace("oil_hole: 0.060 in", "oil_hole: 0.080 in").replace("inclination: 4 deg\n", "")
    row = trials(f"length: 9.400 in, mark: {{from: {low:.6f} in, to: {high:.6f} in}}")
    return facts_in(lay_out(folder, row, rockers=PAD_TIP, pushrods=rods), SIX)


def at(length: float, off: float) -> tuple[float, float]:
    """The mark that a pushrod of a length leaves, the nut's turns given back."""
    return mark(BEST - (length - AIM - 9.400) / FACTOR, off)


@pytest.mark.parametrize("off", [0.0, 0.015, -0.015])
def test_at_either_end_the_mark_meets_a_limit(tmp_path: Path, off: float) -> None:
    [(low, high)] = length_requirement(build(tmp_path, off), ONE).intervals
    for end, side in ((low, -1), (high, 1)):
        edges = at(end / INCH, off)
        margin = min(edges[0], TIP - edges[1])
        assert margin == pytest.approx(0.0, abs=1e-3) or abs(sum(edges) - TIP) / 2 == pytest.approx(TIP / 6, abs=1e-3)
        assert side * (sum(edges) - TIP) > 0


def test_inside_both_limits_hold(tmp_path: Path) -> None:
    [(low, high)] = length_requirement(build(tmp_path), ONE).intervals
    for share in (0.01, 0.25, 0.5, 0.75, 0.99):
        edges = at((low + share * (high - low)) / INCH, 0.0)
        assert min(edges[0], TIP - edges[1]) > 0
        assert abs(sum(edges) - TIP) / 2 < TIP / 6


def test_a_mark_too_wide_for_the_tip_once_centred_is_open(tmp_path: Path) -> None:
    """Where the shop wants a plain tip's mark 0.100 in clear of the edge: 0.200 in on a tip of 0.310 in leaves half."""
    limit = "limits: {mark-on-tip: {at_least: 0.100 in, because: soft tips}}\n"
    row = trials("length: 9.400 in, mark: {from: 0.055 in, to: 0.255 in}")
    found = judged(tmp_path, row, rockers=PAD_TIP, build=f"name: Soft tips\nstage: measuring\n{limit}").facts
    with pytest.raises(Undecided, match="keeps it far enough from the valve tip edge"):
        length_requirement(found, ONE)


def test_a_narrow_mark_in_the_middle_keeps_its_length(tmp_path: Path) -> None:
    """Nothing is wrong with it, though no height would move it far."""
    row = trials("length: 9.400 in, mark: {from: 0.145 in, to: 0.165 in}")
    [(low, high)] = length_requirement(facts_in(lay_out(tmp_path, row, rockers=PAD_TIP), SIX), ONE).intervals
    assert low < 9.440 * INCH < high


def test_a_mark_that_no_length_centres_is_open(tmp_path: Path) -> None:
    """The pad's centre would have to come down to the narrowest mark and beyond."""
    row = trials("length: 9.400 in, mark: {from: 0.010 in, to: 0.045 in}")
    found = facts_in(lay_out(tmp_path, row, rockers=PAD_TIP), SIX)
    with pytest.raises(Undecided, match="no pushrod length centres this mark: raising the pivot moves it by"):
        length_requirement(found, ONE)
