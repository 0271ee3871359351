"""Intervals put together: unknown signs by their fellows, unmeasured valves by the measured, marks that ran off."""

from __future__ import annotations

from math import sqrt
from pathlib import Path

import pytest
from altered import EIGHT, FLAT, SIX, facts, facts_in
from bench import GAUGES, STUD, lay_out, trials
from rewritten import Edit

from buildcheck.build.facts import Facts
from buildcheck.core.subject import Subject
from buildcheck.core.value import Undecided
from buildcheck.ordering.allowed_lengths import LengthRequirement, length_requirement, length_requirements
from buildcheck.ordering.predicted_mark import predict_mark
from buildcheck.quantities.height_trials import READ_CONTACTS

IN, MM = 0.0254, 0.001
ARM, LIFT, TIP = 1.550, 0.280 * 1.6, 0.310
FACTOR, LIMIT, AIM = 1.625, 0.050, 0.040
ONE = Subject(1, "intake")
TWO_SPANS = LengthRequirement(ONE, ((1.0, 2.0), (5.0, 6.0)), 5.4, False)


@pytest.mark.parametrize(
    ("length", "allowed", "distance_outside", "distance"),
    [
        (1.0, True, 0.0, 0.5), (2.0, True, 0.0, 0.5), (1.5, True, 0.0, 0.0), (3.0, False, 1.0, 1.5),
        (4.5, False, 0.5, 1.0), (0.5, False, 0.5, 1.0), (7.0, False, 1.0, 1.5), (5.4, True, 0.0, 0.1),
    ],
)  # fmt: skip
def test_of_two_spans_the_nearer_counts(length: float, allowed: bool, distance_outside: float, distance: float) -> None:
    assert TWO_SPANS.allows(length) is allowed
    assert TWO_SPANS.distance_outside(length) == pytest.approx(distance_outside)
    assert TWO_SPANS.distance(length) == pytest.approx(distance)


def test_of_one_span_the_distance_from_the_target_counts() -> None:
    one = LengthRequirement(ONE, ((1.25, 2.25),), 1.45, False)
    assert one.distance(2.0) == pytest.approx(0.55)


def row(q: float, length: float = 9.400, lines: bool = True) -> str:
    """What a trial shows of a roller in the middle of its tip with the pivot too low by q, in."""
    shut, opened = (sqrt(ARM**2 - (LIFT / 2 + sign * q) ** 2) for sign in (1, -1))
    move = TIP / 2 - (min(shut, opened) + ARM) / 2
    result = f", shut_at: {shut + move:.6f} in, open_at: {opened + move:.6f} in" if lines else ""
    near = min(shut, opened) + move
    return f"length: {length} in, mark: {{from: {near:.6f} in, to: {ARM + move:.6f} in}}{result}"


def stud(folder: Path, *rows: str) -> Facts:
    """Intakes of cylinders 1, 2 and so on, on pushrods whose ends are the checker's."""
    rods = (Path(__file__).parent.parent / "example_build/pushrods.yaml").read_text()
    rods = rods.replace("oil_hole: 0.060 in", "oil_hole: 0.080 in").replace("inclination: 4 deg\n", "")
    entries = [trials(one, cylinder=number) for number, one in enumerate(rows, 1)]
    return facts_in(lay_out(folder, *entries, rockers=STUD, pushrods=rods), SIX)


def around(q: float, length: float = 9.400) -> float:
    return length + AIM + q * FACTOR


def known(found: Facts) -> dict[str, LengthRequirement]:
    return {one.subject.key: one for one in length_requirements(found)[0]}


@pytest.mark.parametrize("sign", [1, -1])
def test_an_unknown_sign_is_taken_as_its_fellows_have_theirs(tmp_path: Path, sign: int) -> None:
    found = known(stud(tmp_path, row(sign * 0.080), row(0.080, lines=False)))["2/intake"]
    [(low, high)] = found.intervals
    assert (low + high) / 2 / IN == pytest.approx(around(sign * 0.080), abs=2e-3)
    assert found.target == pytest.approx((low + high) / 2)


@pytest.mark.parametrize("fellow", ["", row(0.0), row(0.080, 8.900)])
def test_an_unknown_sign_without_a_fellow_that_shows_is_no_gamble(tmp_path: Path, fellow: str) -> None:
    """Alone, beside one that both signs share, and beside one that neither shares."""
    rows = [row(0.080, lines=False), *([fellow] if fellow else [])]
    result, unknown = length_requirements(stud(tmp_path, *rows))
    assert "1/intake" not in {one.subject.key for one in result}
    reason = dict(unknown)[ONE]
    assert reason.reason == READ_CONTACTS
    assert [place.file for place in reason.places] == ["marks.yaml"]


def test_an_unmeasured_valve_takes_what_all_its_fellows_allow(tmp_path: Path) -> None:
    found = known(stud(tmp_path, row(0.0, 9.380), row(0.0, 9.400), row(0.0, 9.430)))["5/intake"]
    [(low, high)] = found.intervals
    assert (low / IN, high / IN) == pytest.approx(
        (9.430 + AIM - LIMIT * FACTOR, 9.380 + AIM + LIMIT * FACTOR), abs=2e-4
    )
    assert (found.target / IN, found.assumed) == (pytest.approx(9.440, abs=2e-4), True)


def test_where_fellows_share_nothing_the_middle_one_represents_the_rest(tmp_path: Path) -> None:
    found = known(stud(tmp_path, row(0.0, 9.200), row(0.0, 9.400), row(0.0, 9.600)))["5/intake"]
    [(low, high)] = found.intervals
    middle = 9.400 + AIM
    assert (low / IN, high / IN) == pytest.approx((middle - LIMIT * FACTOR, middle + LIMIT * FACTOR), abs=2e-4)


def test_a_type_of_which_nothing_is_measured_stays_open(tmp_path: Path) -> None:
    _, unknown = length_requirements(stud(tmp_path, row(0.0)))
    assert {subject.valve for subject, _ in unknown} == {"exhaust"}
    assert {reason.reason for _, reason in unknown} == {"no exhaust valve is measured yet (marks.yaml)"}


@pytest.mark.parametrize(
    ("start", "end", "edges"),
    [
        ("0.100", "0.130", (0.100, 0.130)),
        ("0", "0.030", (0.030 - 0.0283, 0.030)),
        ("0.280", "0.310", (0.280, 0.280 + 0.0283)),
    ],
)
def test_a_mark_that_ran_off_is_calculated_from_the_edge_that_was_read(
    tmp_path: Path, start: str, end: str, edges: tuple[float, float]
) -> None:
    """0.0163 in of sweep at mid-lift, and 0.012 in of ink beside it."""
    gauges = GAUGES.replace("contact_band: 0 in", "contact_band: 0.012 in")
    entry = trials(f"length: 9.400 in, mark: {{from: {start} in, to: {end} in}}")
    found = facts_in(lay_out(tmp_path, entry, gauges=gauges), SIX)
    low, high = predict_mark(found, ONE, 0.0).edges(0.0)
    assert (low / IN, high / IN) == pytest.approx(edges, abs=1e-4)


@pytest.mark.parametrize(
    ("fitted", "open_for"),
    [("0.75 mm", None), ("0.7500005 mm", None), ("0.70 mm", "the shim of the last trial differs")],
)
def test_a_length_found_over_another_shim_is_none(tmp_path: Path, fitted: str, open_for: str | None) -> None:
    """Each trial after the first on number 1 says nothing of a shim, so that it has the one fitted."""
    old = "{length: 190.69 mm, mark"
    edit = ("marks.yaml", old, f"{{length: 190.69 mm, shim: {fitted}, mark")
    found = facts(tmp_path, EIGHT, edit)
    if open_for is None:
        assert length_requirement(found, ONE).target / MM == pytest.approx(190.685 + 1.0, abs=0.01)
    else:
        with pytest.raises(Undecided, match=open_for):
            length_requirement(found, ONE)


@pytest.mark.parametrize(("apart", "is_open"), [(0.80, True), (0.45, False), (-0.80, True), (-0.45, False)])
def test_a_pivot_that_is_surely_off_needs_its_shim_before_a_length(tmp_path: Path, apart: float, is_open: bool) -> None:
    """The lines stand q × lift/arm apart to first order: 0.32 of q, which may be 1.27 mm."""
    old = "mark: {from: 3.25 mm, to: 4.10 mm}, shut_at: 3.40 mm, open_at: 3.60 mm"
    edit = ("marks.yaml", old, f"shut_at: 3.50 mm, open_at: {3.50 + apart:.2f} mm")
    found = facts(tmp_path, EIGHT, edit)
    if is_open:
        with pytest.raises(Undecided, match="the pivot height changes first"):
            length_requirement(found, Subject(3, "intake"))
    else:
        assert len(length_requirement(found, Subject(3, "intake")).intervals) == 1


NO_SCREW = (
    ("rockers.yaml", "adjuster: screw\nadjuster_thread: 5/16-24\nadjuster_range: 0.100 in\nscrew_at: 0.020 in\n", ""),
    ("rockers.yaml", "mount: shaft\n", "mount: shaft\nadjuster: none\n"),
    ("cam.yaml", "lash_tolerance: 0.002 in", "lash_tolerance: 0.020 in"),
)
GUARD_FLAT = sqrt(0.002**2 + 0.003**2 + 0.002**2)
"""Gauge, feel for zero lash and the pushrods' own tolerance, in: all expanded."""
GUARD_EIGHT = sqrt(0.03**2 + 0.06**2 + 0.05**2)


@pytest.mark.parametrize(
    ("folder", "edits", "subject", "unit", "ends"),
    [
        (FLAT, (), ONE, IN, (10.588 + 0.020 - 0.015 / 1.4, 0.100 - GUARD_FLAT)),
        (FLAT, NO_SCREW, ONE, IN, (10.588 - 0.015 / 1.4, 0.020 / 1.4 - GUARD_FLAT)),
        (EIGHT, (), Subject(2, "intake"), MM, (190.74 + 1.00, 0.50 - GUARD_EIGHT)),
    ],
    ids=["the screw's travel", "the lash's tolerance", "the preload's range"],
)
def test_under_a_fixed_pivot_the_guard_band_is_taken_off_both_ends(
    tmp_path: Path, folder: str, edits: tuple[Edit, ...], subject: Subject, unit: float, ends: tuple[float, float]
) -> None:
    [(low, high)] = length_requirement(facts(tmp_path, folder, *edits), subject).intervals
    middle, room = ends
    assert (low / unit, high / unit) == pytest.approx((middle - room, middle + room), abs=1e-9)


def test_a_length_less_sure_than_what_it_may_be_off_is_open(tmp_path: Path) -> None:
    tight = ("cam.yaml", "lash_tolerance: 0.020 in", "lash_tolerance: 0.002 in")
    with pytest.raises(Undecided, match="the length tolerance of the pushrods leaves no allowed length"):
        length_requirement(facts(tmp_path, FLAT, *NO_SCREW, tight), ONE)
