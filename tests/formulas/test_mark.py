"""The mark by itself, by hand."""

import pytest

from buildcheck.formulas import mark


def test_a_mark_in_the_middle_has_no_offset():
    assert mark.mark_offset(0.125, 0.185, 0.310) == pytest.approx(0.0, abs=1e-15)


def test_a_mark_away_from_the_pivot_is_positive():
    assert mark.mark_offset(0.200, 0.240, 0.310) == pytest.approx(0.065)
    assert mark.mark_offset(0.020, 0.060, 0.310) == pytest.approx(-0.115)


def test_the_ink_at_rest_is_no_sweep():
    assert mark.mark_width(0.118, 0.176) == pytest.approx(0.058)
    assert mark.mark_width(0.118, 0.176, 0.058) == pytest.approx(0.0, abs=1e-15)


@pytest.mark.parametrize(("edges", "margin"), [((0.10, 0.15), 0.10), ((0.20, 0.28), 0.03), ((0.25, 0.31), 0.0)])
def test_margin_is_to_the_nearer_edge(edges, margin):
    assert mark.mark_edge_margin(*edges, 0.310) == pytest.approx(margin)
    assert mark.reaches_edge(*edges, 0.310) == (margin == 0.0)


def test_a_mark_read_past_the_edge_has_run_off():
    assert mark.mark_edge_margin(0.250, 0.312, 0.310) == pytest.approx(-0.002)
    assert mark.reaches_edge(0.250, 0.312, 0.310)


def test_impossible_marks_are_refused():
    with pytest.raises(ValueError, match="is smaller than 'from'"):
        mark.mark_offset(0.176, 0.118, 0.310)
    with pytest.raises(ValueError, match="narrower than the contact band"):
        mark.mark_width(0.118, 0.125, 0.012)
    with pytest.raises(ValueError, match="not below zero"):
        mark.mark_width(0.118, 0.125, -0.001)
