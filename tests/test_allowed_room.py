"""Lengths that keep the mark's rules under a nut: around each sign, cut by the tip and its middle, moved by a lean."""

from __future__ import annotations

from math import radians, tan
from pathlib import Path

import pytest
from bench import STUD, judged, trials
from rewritten import judged_by

from buildcheck.app.build_check import CheckedBuild
from buildcheck.core.subject import Subject
from buildcheck.core.value import Undecided
from buildcheck.formulas.rocker import centre_at, width_at
from buildcheck.ordering.allowed_lengths import length_requirement
from buildcheck.ordering.order import order
from buildcheck.ordering.predicted_mark import predict_mark

ONE = Subject(1, "intake")
ARM, LIFT, TIP, INCH = 1.550, 0.280 * 1.6, 0.310, 0.0254
FACTOR, LIMIT, AIM = 1.625, 0.050, 0.040


def read(q: float, centre: float = 0.0, lines: bool = True) -> str:
    """What a trial shows at 9.400 in with the pivot too low by q."""
    width = width_at(ARM, LIFT, q)
    low = TIP / 2 + centre - width / 2
    shut = centre_at(ARM, LIFT, q, 0.0)
    s = [(ARM**2 - (LIFT / 2 + sign * q) ** 2) ** 0.5 - shut + TIP / 2 + centre for sign in (1, -1)]
    result = f", shut_at: {s[0]:.5f} in, open_at: {s[1]:.5f} in" if lines else ""
    return f"length: 9.400 in, mark: {{from: {low:.5f} in, to: {low + width:.5f} in}}{result}"


def build(folder: Path, *rows: str, lean: float = 0.0) -> CheckedBuild:
    rods = (Path(__file__).parent.parent / "example_build/pushrods.yaml").read_text()
    same_ends = rods.replace("oil_hole: 0.060 in", "oil_hole: 0.080 in").replace("inclination: 4 deg\n", "")
    rockers = STUD.replace("stud_lean: 0 deg", f"stud_lean: {lean} deg")
    return judged(folder, trials(*rows), rockers=rockers, pushrods=same_ends)


def inches(found: CheckedBuild) -> list[tuple[float, float]]:
    return [(low / INCH, high / INCH) for low, high in length_requirement(found.facts, ONE).intervals]


def test_a_known_sign_gives_one_interval_around_what_is_requested(tmp_path: Path) -> None:
    (found,) = inches(build(tmp_path, read(0.060)))
    asked = 9.400 + AIM + 0.060 * FACTOR
    assert found == pytest.approx((asked - LIMIT * FACTOR, asked + LIMIT * FACTOR), abs=2e-4)


def test_an_unknown_sign_gives_two_intervals(tmp_path: Path) -> None:
    found = inches(build(tmp_path, read(0.080, lines=False)))
    centres = [9.400 + AIM + sign * 0.080 * FACTOR for sign in (-1, 1)]
    expected = [(centre - LIMIT * FACTOR, centre + LIMIT * FACTOR) for centre in centres]
    assert [pytest.approx(each, abs=2e-4) for each in expected] == found


def test_of_two_signs_with_their_lengths_overlap_only_what_is_right_for_both_is_allowed(tmp_path: Path) -> None:
    (found,) = inches(build(tmp_path, read(0.045, lines=False)))
    assert found == pytest.approx((9.440 - 0.005 * FACTOR, 9.440 + 0.005 * FACTOR), abs=2e-4)


def test_the_mark_off_centre_cuts_the_interval(tmp_path: Path) -> None:
    (found,) = inches(build(tmp_path, read(0.0, centre=-0.0495)))
    room = (found[1] - found[0]) / 2 / FACTOR
    assert room < 0.030
    centre = centre_at(ARM, LIFT, room, 0.0) - centre_at(ARM, LIFT, 0.0, 0.0) - 0.0495
    assert centre == pytest.approx(-TIP / 6, abs=2e-5)


def test_no_length_serves_a_mark_that_is_off_centre_at_its_narrowest(tmp_path: Path) -> None:
    found = build(tmp_path, read(0.0, centre=0.070))
    with pytest.raises(Undecided, match="no pushrod length centres"):
        length_requirement(found.facts, ONE)
    assert ONE in [subject for subject, _ in order(found.facts).unknown]


@pytest.mark.parametrize("lean", [-5.0, 5.0])
def test_a_leaning_stud_moves_the_mark_as_the_pivot_rises(tmp_path: Path, lean: float) -> None:
    found = build(tmp_path, read(0.060), lean=lean)
    upright = build(tmp_path / "upright", read(0.060))
    centre, of_upright = (
        predict_mark(one.facts, ONE, 0.060 * INCH).centre_and_edges(0.0)[0] for one in (found, upright)
    )
    shift = (centre - of_upright) / INCH
    assert shift == pytest.approx(0.060 * tan(radians(lean)), abs=1e-9)
    result = found.facts.get("offset_at_narrowest", ONE).si
    assert result == pytest.approx(centre, abs=2e-6)


@pytest.mark.parametrize("q", [0.0, 0.020])
def test_a_width_that_leaves_the_height_in_doubt_leaves_the_best_centre_in_doubt(tmp_path: Path, q: float) -> None:
    """Off by as much as the width allows, either way, it has drawn the mark towards itself by half the widening.

    Two edges good to 0.003 in and a tip to 0.002 in make the centre's own.
    """
    found = build(tmp_path, read(q, lines=False))
    result, error = found.facts.get("offset_at_narrowest", ONE), found.facts.get("height_error", ONE)
    most = abs(error.si) + error.expanded
    drawn = (width_at(ARM, LIFT, most / INCH) - width_at(ARM, LIFT, 0.0)) / 2
    assert result.expanded / INCH == pytest.approx((0.003**2 / 2 + 0.001**2 + drawn**2) ** 0.5, rel=1e-6)


def test_a_leaning_stud_cuts_the_two_ends_unlike(tmp_path: Path) -> None:
    (found,) = inches(build(tmp_path, read(0.0, centre=0.049), lean=8.0))
    shorter, longer = 9.440 - found[0], found[1] - 9.440
    assert shorter > longer + 0.008


@pytest.mark.parametrize(("edges", "whole"), [((0.280, 0.310), 0.280), ((0.0, 0.030), 0.030)])
def test_a_mark_that_ran_off_is_calculated_from_the_edge_that_is_whole(
    tmp_path: Path, edges: tuple[float, float], whole: float
) -> None:
    row = f"length: 9.400 in, mark: {{from: {edges[0]} in, to: {edges[1]} in}}, shut_at: 0.10 in, open_at: 0.125 in"
    found = build(tmp_path, row)
    mark = predict_mark(found.facts, ONE, 0.080 * INCH)
    near, far = (edge / INCH for edge in mark.edges(0.080 * INCH))
    assert (near if whole > 0.1 else far) == pytest.approx(whole)
    assert far - near == pytest.approx(width_at(ARM, LIFT, 0.080))


def test_of_two_intervals_the_nearer_middle_counts(tmp_path: Path) -> None:
    need = length_requirement(build(tmp_path, read(0.080, lines=False)).facts, ONE)
    middles = [(low + high) / 2 for low, high in need.intervals]
    assert [need.distance(middle) for middle in middles] == [0.0, 0.0]
    assert need.distance_outside(sum(middles) / 2) > 0


def engine(folder: Path, *others: str) -> CheckedBuild:
    """A first valve of unknown sign that requires 9.310 or 9.570 in, and others of its type."""
    rows = [read(0.080, lines=False), *others]
    entries = [trials(row, cylinder=number) for number, row in enumerate(rows, 1)]
    rods = (Path(__file__).parent.parent / "example_build/pushrods.yaml").read_text()
    return judged(folder, *entries, rockers=STUD, pushrods=rods.replace("oil_hole: 0.060 in", "oil_hole: 0.080 in"))


@pytest.mark.parametrize("others", [[], [read(0.080, lines=False)], [read(0.0)]])
def test_a_length_that_would_be_a_gamble_is_not_ordered(tmp_path: Path, others: list[str]) -> None:
    found = engine(tmp_path, *others)
    reasons = {subject.key: why.reason for subject, why in order(found.facts).unknown}
    assert "read the contact lines with the valve closed and at full lift" in reasons["1/intake"]
    assert [r.blocks for r in judged_by(found, "length-orderable") if r.subject == ONE] == [True]


@pytest.mark.parametrize(("fellow", "asked"), [(0.080, 9.570), (-0.080, 9.310)])
def test_a_fellow_of_known_sign_shows_which_interval_it_is(tmp_path: Path, fellow: float, asked: float) -> None:
    found = engine(tmp_path, read(fellow))
    (line,) = [line for line in order(found.facts).lines if ONE in line.serves]
    assert line.length.measured / INCH == pytest.approx(asked, abs=LIMIT * FACTOR)
