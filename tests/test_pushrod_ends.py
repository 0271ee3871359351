"""Two ends of different balls: one pushrod's length as each convention states it, from its files."""

from __future__ import annotations

from math import sqrt
from pathlib import Path

import pytest
from altered import FLAT, SIX, as_it_is, facts
from judging import Judged

from buildcheck.core.subject import Subject
from buildcheck.core.value import Undecided

ENDS = "ends: {type: ball, ball_radius: 5/32 in, oil_hole: 0.080 in}\nmeasured_as: overall"
TWO = (
    "ends: {{lifter: {{type: ball, ball_radius: 5/32 in, oil_hole: 0.080 in}}, "
    "rocker: {{type: ball, ball_radius: 3/16 in, oil_hole: 0.060 in}}}}\nmeasured_as: {}"
)


def caps(lifter: float, rocker: float) -> float:
    """What holes of these diameters take off both balls, in."""
    return sum(radius - sqrt(radius**2 - (hole / 2) ** 2) for radius, hole in ((5 / 32, lifter), (3 / 16, rocker)))


OIL = caps(0.080, 0.060)


@pytest.mark.parametrize(
    ("stated", "full"),
    [
        ("overall", OIL),
        ("full ball", 0.0),
        ("gauge, gauge_hole: 0.120 in", caps(0.120, 0.120)),
        ("gauge, gauge_hole: 0.070 in", caps(0.080, 0.070)),
    ],
)
@pytest.mark.parametrize(
    ("measured", "less"),
    [("overall", OIL), ("full ball", 0.0), ("gauge\ngauge_hole: 0.100 in", caps(0.100, 0.100))],
)
def test_a_length_as_stated_in_the_convention_measured(
    tmp_path: Path, stated: str, full: float, measured: str, less: float
) -> None:
    chosen = f"chosen: {{intake: 9.450 in, exhaust: 9.450 in, stated_as: {stated}}}\n"
    edits = [("pushrods.yaml", ENDS, TWO.format(measured)), ("pushrods.yaml", "", chosen)]
    own = facts(tmp_path, SIX, *edits).get("chosen_length", Subject(1, "intake")).si
    assert own / 0.0254 == pytest.approx(9.450 + full - less)


def test_a_checker_with_other_holes_reads_the_pushrod_as_its_own_ends_would(tmp_path: Path) -> None:
    """The rocker's end drilled as the checker's is: there it reads no more than a pushrod of its own."""
    drilled = TWO.format("overall").replace("3/16", "5/32")
    found = facts(tmp_path, SIX, ("pushrods.yaml", ENDS, drilled)).get("length_asked", Subject(2, "intake"))
    more = found.si - as_it_is(SIX).facts.get("length_asked", Subject(2, "intake")).si
    assert more / 0.0254 == pytest.approx(sqrt((5 / 32) ** 2 - 0.030**2) - sqrt((5 / 32) ** 2 - 0.040**2))


CHECKER = "ends: {type: ball, ball_radius: 5/32 in, oil_hole: 0.060 in}"


def test_a_gauge_reads_a_checker_as_a_caliper_does_where_its_own_hole_is_the_smaller(tmp_path: Path) -> None:
    """Turned by hand to full balls, at the checker's ends over the gauge's 0.080 in, it is the same pushrod."""
    gauge = ENDS.replace("0.080", "0.100").replace("overall", "gauge\ngauge_hole: 0.080 in")
    full = ENDS.replace("0.080", "0.100").replace("overall", "full ball")
    by_hand = f"length: {9.4250 + caps_alike(0.080):.6f} in"
    own = facts(tmp_path / "gauge", SIX, ("pushrods.yaml", ENDS, gauge)).get("length_asked", Subject(2, "intake"))
    edits = [("pushrods.yaml", ENDS, full), ("marks.yaml", "length: 9.4250 in", by_hand)]
    turned = facts(tmp_path / "full", SIX, *edits).get("length_asked", Subject(2, "intake"))
    assert own.si / 0.0254 == pytest.approx(turned.si / 0.0254 - caps_alike(0.100), abs=1e-6)


def caps_alike(hole: float) -> float:
    """What one hole in both of the demo's balls takes off, in."""
    return 2 * (5 / 32 - sqrt((5 / 32) ** 2 - (hole / 2) ** 2))


@pytest.mark.parametrize(
    ("over", "expected"),
    [
        ("{type: cup, ball_radius: 5/32 in}", "a cup of 5/32 in radius"),
        ("{type: ball, ball_radius: 3/16 in, oil_hole: 0.060 in}", "a ball of 3/16 in radius"),
        ("{type: ball, ball_radius: 0.157 in, oil_hole: 0.060 in}", "a ball of 0.157 in radius"),
    ],
)
def test_a_checker_of_other_ends_shows_no_length_but_its_marks_stand(judged: Judged, over: str, expected: str) -> None:
    result = judged(SIX, ("pushrods.yaml", CHECKER, f"ends: {over}"))
    assert (result.code, result.verdict) == (1, "open")
    found = result.result("length-orderable", "1/intake")
    assert f"The checking pushrod has {expected}, the pushrods have a ball of 5/32 in radius" in found["message"]
    assert "measure with the ends of the pushrods" in found["message"]
    assert (found["file"], found["line"], found["column"]) == ("pushrods.yaml", 16, 9)
    assert set(result.kinds("mark-on-tip").values()) == {"pass", "notApplicable"}
    assert result.lines() == []


def test_one_end_of_another_kind_is_enough(tmp_path: Path) -> None:
    over = "\nchecker: {ends: {type: ball, ball_radius: 3/16 in, oil_hole: 0.060 in}}\n"
    with pytest.raises(Undecided, match=r"a ball of 3/16 in radius, the pushrods have a cup of 5/32 in radius"):
        facts(tmp_path, FLAT, ("pushrods.yaml", "", over)).get("zero_lash_length", Subject(1, "intake"))


@pytest.mark.parametrize("radius", ["3.97 mm", "0.156 in", "0.1563 in"])
def test_a_ball_written_otherwise_is_the_same_ball(tmp_path: Path, radius: str) -> None:
    edit = ("pushrods.yaml", CHECKER, CHECKER.replace("5/32 in", radius))
    own = facts(tmp_path, SIX, edit).get("length_asked", Subject(1, "intake")).si
    assert own / 0.0254 == pytest.approx(
        as_it_is(SIX).facts.get("length_asked", Subject(1, "intake")).si / 0.0254, abs=1e-4
    )


CUP = "rocker: {type: cup, ball_radius: 5/32 in}\nmeasured_as: overall"
DRILLED_CUP = "rocker: {type: cup, ball_radius: 5/32 in, oil_hole: 0.060 in}\nmeasured_as: "
STATED = "step: 0.025 in, stated_as: "


def test_a_cup_is_shortened_by_no_hole(judged: Judged) -> None:
    """Its oil hole may be written, as the starter asks: the order stays the same."""
    drilled = ("pushrods.yaml", CUP, DRILLED_CUP + "overall")
    assert judged(FLAT, drilled).lines() == judged(FLAT).lines()
    assert judged(FLAT, drilled).verdict == "pass"


def test_lengths_over_one_and_the_same_gauge_need_no_conversion(judged: Judged) -> None:
    measured = ("pushrods.yaml", CUP, DRILLED_CUP + "gauge\ngauge_hole: 1/8 in")
    stock = ("pushrods.yaml", f"{STATED}overall", f"{STATED}gauge, gauge_hole: 0.125 in")
    assert judged(FLAT, measured, stock).lines() == judged(FLAT).lines()


@pytest.mark.parametrize("measured", ["overall", "full ball", "gauge\ngauge_hole: 0.120 in"])
def test_a_cup_over_another_gauge_cannot_be_determined(judged: Judged, measured: str) -> None:
    edits = [("pushrods.yaml", CUP, DRILLED_CUP + measured)]
    edits += [("pushrods.yaml", f"{STATED}overall", f"{STATED}gauge, gauge_hole: 0.125 in")]
    found = judged(FLAT, *edits).result("length-orderable", "1/intake")
    assert found["kind"] == "open"
    why = "A cup end has no gauge length: get the length convention of the supplier and enter it as measured_as"
    assert why in found["message"]


def test_over_a_full_ball_a_pushrod_with_a_cup_is_longer_by_its_ball_s_hole_alone(tmp_path: Path) -> None:
    chosen = "chosen: {intake: 10.600 in, exhaust: 10.600 in, stated_as: full ball}\n"
    edits = [("pushrods.yaml", CUP, DRILLED_CUP + "overall"), ("pushrods.yaml", "", chosen)]
    own = facts(tmp_path, FLAT, *edits).get("chosen_length", Subject(1, "intake")).si
    assert own / 0.0254 == pytest.approx(10.600 - (3 / 16 - sqrt((3 / 16) ** 2 - 0.030**2)))
