"""Readings taken more than once: what they come to, how sure that is, and whether a mark moved that cannot."""

from __future__ import annotations

from math import sqrt
from pathlib import Path

import pytest
from altered import EIGHT, FLAT, SIX, altered, facts
from rewritten import Edit, results
from scipy.stats import chi2

from buildcheck.core.subject import Subject
from buildcheck.core.value import NotApplicable, Undecided

ONE, MM, IN = Subject(1, "exhaust"), 0.001, 0.0254
FIRST = "      - {length: 191.67 mm}\n"
"""Before a second trial at 191.68 mm with its mark from 3.00 to 3.80 mm, shut_at 3.10 mm and open_at 3.15 mm."""
EDGE = sqrt(2) * 0.08 / 2
"""Standard uncertainty of how far an edge moved, mm."""
APART = sqrt(2) * sqrt(0.03**2 + 0.06**2)
"""Expanded uncertainty of how far two lengths differ, by the gauge and the feel for zero lash, mm."""


def before(*rows: str) -> Edit:
    return ("marks.yaml", FIRST, "".join(f"      - {{{row}}}\n" for row in rows))


def first_marked(length: float, by: float, lines: bool = False, more: str = "") -> Edit:
    """An earlier trial of another length, its mark (and lines) moved by so much."""
    row = f"length: {length:.4f} mm{more}, mark: {{from: {3.0 + by:.4f} mm, to: {3.8 + by:.4f} mm}}"
    return before(row + (f", shut_at: {3.1 + by:.4f} mm, open_at: {3.15 + by:.4f} mm" if lines else ""))


@pytest.mark.parametrize("lines", [False, True])
@pytest.mark.parametrize(("side", "longer"), [(1, 1), (-1, -1)])
def test_a_mark_has_moved_when_its_edges_together_say_so(tmp_path: Path, lines: bool, side: int, longer: int) -> None:
    """The sum of squares of two edges, or of two edges and two lines, against a chance of one in 160."""
    readings = 4 if lines else 2
    limit = sqrt(chi2.isf(1 / 160, readings) / readings) * EDGE
    for share, moved in ((0.98, 0), (1.02, 1)):
        length = 191.68 + longer * 1.05 * APART
        edit = first_marked(length, side * share * limit, lines)
        found = facts(tmp_path / str(moved), EIGHT, edit).get("mark_moved", ONE)
        output = "the mark moved between trials 1 and 2" if moved else "the mark did not move"
        assert (found.si, found.remark) == (moved, output)


@pytest.mark.parametrize(
    "edit",
    [
        first_marked(191.68, 0.5),
        first_marked(191.68 + 0.95 * APART, 0.5),
        first_marked(191.68 - 0.95 * APART, 0.5),
        first_marked(191.30, 0.5, more=", shim: 0.70 mm"),
        before("length: 191.30 mm"),
    ],
    ids=["as long", "hardly longer", "hardly shorter", "another shim", "no mark"],
)
def test_trials_that_tell_nothing_of_a_moved_mark(tmp_path: Path, edit: Edit) -> None:
    with pytest.raises(
        NotApplicable, match="no two marks were made with pushrods of different length over the same shim"
    ):
        facts(tmp_path, EIGHT, edit).get("mark_moved", ONE)


def test_the_pair_that_moved_is_found_among_three(tmp_path: Path) -> None:
    rows = [f"length: {length} mm, mark: {{from: {near} mm, to: {near + 0.8} mm}}" for length, near in
            ((191.40, 3.0), (192.00, 3.4))]  # fmt: skip
    found = facts(tmp_path, EIGHT, before(*rows)).get("mark_moved", ONE)
    assert (found.si, found.remark) == (1, "the mark moved between trials 1 and 2")
    assert [place.line for place in found.places] == [26, 25]


def test_marks_made_on_the_retainer_tell_of_no_move(tmp_path: Path) -> None:
    touches = ("clearances.yaml", "rocker_to_retainer: 1.5 mm", "rocker_to_retainer: 0 mm")
    with pytest.raises(Undecided, match="the rocker touches the spring retainer"):
        facts(tmp_path, EIGHT, first_marked(192.00, 0.5), touches).get("mark_moved", ONE)


def test_under_a_nut_a_mark_may_move(tmp_path: Path) -> None:
    with pytest.raises(NotApplicable, match="the pushrod length moves the mark"):
        facts(tmp_path, SIX).get("mark_moved", Subject(1, "intake"))


@pytest.mark.parametrize("lengths", [[191.68], [191.67], [191.60, 191.71], [191.66, 191.67, 191.69]])
def test_repeats_are_averaged_and_their_spread_joins(tmp_path: Path, lengths: list[float]) -> None:
    """JCGM 100:2008, 4.2: mean and its experimental standard deviation, beside gauge and feel."""
    found = facts(tmp_path, EIGHT, before(*(f"length: {length} mm" for length in lengths)))
    every = [*lengths, 191.68]
    mean, count = sum(every) / len(every), len(every)
    variance = sum((one - mean) ** 2 for one in every) / (count - 1) / count
    value = found.get("zero_lash_length", ONE)
    assert value.si / MM == pytest.approx(mean, abs=1e-9)
    assert value.expanded / MM == pytest.approx(2 * sqrt((0.015**2 + 0.03**2) / count + variance), rel=1e-9)


@pytest.mark.parametrize(("shim", "counts"), [("0.75 mm", True), ("0.7500004 mm", True), ("0.76 mm", False)])
def test_only_trials_over_the_same_shim_are_repeats(tmp_path: Path, shim: str, counts: bool) -> None:
    found = facts(tmp_path, EIGHT, before(f"length: 191.60 mm, shim: {shim}")).get("zero_lash_length", ONE)
    assert found.si / MM == pytest.approx((191.60 + 191.68) / 2 if counts else 191.68)


CHOSEN = "chosen: {intake: 9.60 in, exhaust: 9.45 in, each: [%s], stated_as: overall}\n"
OWN = "{cylinder: 2, valve: exhaust, length: 9.52 in}"


@pytest.mark.parametrize(
    ("subject", "inches"),
    [(Subject(2, "exhaust"), 9.52), (Subject(2, "intake"), 9.60), (Subject(3, "exhaust"), 9.45)],
)
def test_a_valves_own_length_goes_before_its_types(tmp_path: Path, subject: Subject, inches: float) -> None:
    found = facts(tmp_path, SIX, ("pushrods.yaml", "", CHOSEN % OWN))
    assert found.get("chosen_length", subject).si / IN == pytest.approx(inches)
    assert found.get("rod_length_overall", subject).si / IN == pytest.approx(inches)


@pytest.mark.parametrize(("valve", "inches"), [("intake", 9.60), ("exhaust", 9.52)])
def test_of_a_valve_type_the_longest_pushrod_buckles_first(tmp_path: Path, valve: str, inches: float) -> None:
    found = facts(tmp_path, SIX, ("pushrods.yaml", "", CHOSEN % OWN))
    assert found.get("rod_length_overall", Subject(None, valve)).si / IN == pytest.approx(inches)


def test_a_length_chosen_outside_its_interval_is_off_by_what_is_missing(tmp_path: Path) -> None:
    """Preload 0.50 to 1.50 mm about the zero-lash length, less the guard band."""
    found = facts(
        tmp_path, EIGHT, ("pushrods.yaml", "", "chosen: {intake: 193.5 mm, exhaust: 193.0 mm, stated_as: overall}\n")
    )
    zero = found.get("zero_lash_length_to_run", Subject(2, "intake"))
    highest = zero.si / MM + 1.50 - sqrt((zero.expanded / MM) ** 2 + 0.05**2)
    assert found.get("length_misfit", Subject(2, "intake")).si / MM == pytest.approx(193.5 - highest)
    assert found.get("length_misfit", Subject(2, "exhaust")).si == 0


NO_SCREW = (
    ("rockers.yaml", "adjuster: screw\nadjuster_thread: 5/16-24\nadjuster_range: 0.100 in\nscrew_at: 0.020 in\n", ""),
    ("rockers.yaml", "mount: shaft\n", "mount: shaft\nadjuster: none\n"),
)
RODS = ("pushrods.yaml", "", "chosen: {intake: 10.570 in, exhaust: 10.580 in, stated_as: overall}\n")


@pytest.mark.parametrize("hot", [False, True])
def test_lash_that_a_pushrod_without_adjuster_leaves(tmp_path: Path, hot: bool) -> None:
    """R times the gap at the pushrod; on a card stated hot, with what the warm engine adds."""
    edits = [*NO_SCREW, RODS] + ([("cam.yaml", "lash_at: cold", "lash_at: hot")] if hot else [])
    found = facts(tmp_path, FLAT, *edits)
    grown = found.get("gap_growth", Subject(None, "intake")).si / IN if hot else 0.0
    assert found.get("lash", Subject(2, "intake")).si / IN == pytest.approx((10.596 - 10.570 + grown) * 1.4)
    assert not hot or abs(grown) > 0.005


def test_lash_as_set_goes_before_what_a_pushrod_would_leave(tmp_path: Path) -> None:
    log = ("as_built.yaml", "", "each: [{cylinder: 2, valve: intake, lash: 0.016 in}]\n")
    found = facts(tmp_path, FLAT, *NO_SCREW, RODS, log)
    assert found.get("lash", Subject(2, "intake")).si / IN == pytest.approx(0.016)
    assert found.get("lash", Subject(1, "intake")).si / IN == pytest.approx((10.588 - 10.570) * 1.4)


@pytest.mark.parametrize(
    ("lash", "kind"), [("0.0170", "pass"), ("0.0171", "fail"), ("0.0130", "pass"), ("0.0129", "fail")]
)
def test_lash_is_kept_to_its_tolerance(tmp_path: Path, lash: str, kind: str) -> None:
    """Two thousandths where the card does not tell; common practice, no published source."""
    log = ("as_built.yaml", "", f"each: [{{cylinder: 2, valve: intake, lash: {lash} in}}]\n")
    found = altered(tmp_path, FLAT, log, ("cam.yaml", "lash_tolerance: 0.002 in\n", ""), stage="assembled")
    [result] = [one for one in results(found, "lash-in-range") if one.subject == Subject(2, "intake")]
    assert result.kind == kind
