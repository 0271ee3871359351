"""Turns of nut and bolt: what each takes of the plunger, and what a pedestal's bolt mentions the preload."""

from __future__ import annotations

from math import cos, hypot, radians
from pathlib import Path

import pytest
from altered import EIGHT, FLAT, SIX, facts
from judging import Judged
from rewritten import Edit

from buildcheck.core.subject import Subject
from buildcheck.core.value import NotApplicable, Undecided

INTAKE, IN = Subject(None, "intake"), 0.0254
THREAD = "adjuster_thread: M8x1.25 "


def turned(turns: float) -> Edit:
    return "rockers.yaml", THREAD, f"bolt_turns: {turns}\n{THREAD}"


@pytest.mark.parametrize(
    ("turns", "kind", "expected"),
    [
        (
            3,
            "fail",
            "5.935 mm ± 0.247 mm (3 turns of the bolt); minimum 0.500 mm and maximum 1.500 mm (4.435 mm over)",
        ),
        (0.1, "fail", "0.198 mm ± 0.247 mm (0.1 turns of the bolt); minimum 0.500 mm"),
        (0.5, "pass", ""),
        (0.75, "open", "1.484 mm ± 0.247 mm (0.75 turns of the bolt)"),
    ],
)
def test_a_bolt_s_turns_are_held_to_the_lifter_maker_s_range(
    judged: Judged, turns: float, kind: str, expected: str
) -> None:
    """1.25 mm x (cos 6 deg + 1/1.7) = 1.978 mm a turn, of 0.50 to 1.50 mm, each counted to 1/8 turn; a warning."""
    result = judged(EIGHT, turned(turns))
    found = result.result("bolt-preload", "intake")
    assert (found["kind"], found["blocks"], result.verdict) == (kind, False, "pass")
    assert found["value"]["si"] == pytest.approx(turns * 1.25e-3 * (cos(radians(6)) + 1 / 1.7))
    assert expected in found["message"]


def test_turns_that_nobody_counted_are_nobody_s_business(judged: Judged) -> None:
    assert set(judged(EIGHT).kinds("bolt-preload").values()) == {"notApplicable"}
    assert set(judged(SIX).kinds("bolt-preload").values()) == {"notApplicable"}


def test_a_bolt_with_their_thread_is_not_written_is_requested(tmp_path: Path) -> None:
    edit = ("rockers.yaml", "adjuster_thread: M8x1.25        # the pedestal bolts", "bolt_turns: 0.5")
    with pytest.raises(Undecided, match=r"adjuster_thread is missing in rockers\.yaml"):
        facts(tmp_path, EIGHT, edit).get("preload_by_bolt", INTAKE)


@pytest.mark.parametrize(("bolt", "pitch"), [("5/16-18", 25.4 / 18), ("", None)])
def test_beside_a_screw_the_bolt_has_a_thread_of_its_own(tmp_path: Path, bolt: str, pitch: float | None) -> None:
    own = f"bolt_thread: {bolt}\n" if bolt else ""
    edits = [("rockers.yaml", "adjuster: none", f"adjuster: screw\nbolt_turns: 0.5\n{own}")]
    found = facts(tmp_path, EIGHT, *edits)
    if pitch is None:
        with pytest.raises(Undecided, match="bolt_thread is missing"):
            found.get("preload_by_bolt", INTAKE)
    else:
        result = found.get("preload_by_bolt", INTAKE)
        assert result.si / 1e-3 == pytest.approx(0.5 * pitch * (cos(radians(6)) + 1 / 1.7))


def test_a_solid_lifter_has_no_preload_for_a_bolt_to_tell(tmp_path: Path) -> None:
    bolted = ("rockers.yaml", "mount: shaft", "mount: pedestal\nbolt_turns: 0.5\nbolt_thread: 5/16-18")
    with pytest.raises(NotApplicable, match="solid lifters have lash"):
        facts(tmp_path, FLAT, bolted).get("preload_by_bolt", INTAKE)


LEAN, INCLINED = "stud_lean: 0 deg", "inclination: 4 deg"


@pytest.mark.parametrize(("lean", "inclination"), [(0, 0), (0, 4), (0, -8), (6, 4), (10, -5)])
def test_a_turn_of_the_nut_takes_less_where_stud_or_pushrod_lean(tmp_path: Path, lean: int, inclination: int) -> None:
    """p x [cos(lean - inclination) + cos(lean)/R], engineering's own of 3/8-24 and 1.6."""
    edits = [
        ("rockers.yaml", LEAN, f"stud_lean: {lean} deg"),
        ("pushrods.yaml", INCLINED, f"inclination: {inclination} deg"),
    ]
    found = facts(tmp_path, SIX, *edits).get("preload_per_turn", INTAKE)
    expected = (cos(radians(lean - inclination)) + cos(radians(lean)) / 1.6) / 24
    assert found.si / IN == pytest.approx(expected)
    assert found.expanded == 0


def test_a_pushrod_of_unknown_inclination_makes_a_turn_as_unsure_as_a_height(tmp_path: Path) -> None:
    found = facts(tmp_path, SIX, ("pushrods.yaml", f"{INCLINED}\n", ""))
    each = found.get("preload_per_turn", INTAKE)
    assert each.si / IN == pytest.approx(1.625 / 24)
    assert each.expanded / each.si == pytest.approx(0.05)
    preload = found.get("preload", Subject(1, "intake"))
    assert preload.expanded == pytest.approx(hypot(0.5 * each.expanded, each.si / 8))
    assert preload.remark == "pushrod inclination not entered: a turn may change the preload by 5 % more or less"


def test_a_bolt_s_preload_says_so_too(tmp_path: Path) -> None:
    """5 % for the inclination and 1/8 turn of 0.5 for the count, in quadrature."""
    found = facts(tmp_path, EIGHT, turned(0.5), ("pushrods.yaml", "inclination: 6 deg\n", ""))
    result = found.get("preload_by_bolt", INTAKE)
    assert result.expanded / result.si == pytest.approx(hypot(0.05, 0.125 / 0.5))
    assert result.remark.startswith("0.5 turns of the bolt; pushrod inclination not entered")


def test_a_screw_in_the_rocker_takes_its_pitch(tmp_path: Path) -> None:
    edits = [
        ("pushrods.yaml", f"{INCLINED}\n", ""),
        ("rockers.yaml", "mount: stud\nadjuster: nut", "mount: shaft\nadjuster: screw"),
    ]
    edits += [("rockers.yaml", f"{LEAN}\n", "")]
    found = facts(tmp_path, SIX, *edits).get("preload_per_turn", INTAKE)
    assert (found.si / IN, found.expanded) == (pytest.approx(1 / 24), 0)


@pytest.mark.parametrize(("written", "expanded"), [("0.5", 1 / 8), ("0.5 +/- 0.05", 0.05), ("1/2 +/- 1/24", 1 / 24)])
def test_turns_of_the_nut_are_good_to_an_eighth_unless_stated(tmp_path: Path, written: str, expanded: float) -> None:
    found = facts(tmp_path, SIX, ("rockers.yaml", "adjuster_turns: 0.5", f"adjuster_turns: {written}"))
    each, preload = (found.get(name, Subject(1, "intake")) for name in ("preload_per_turn", "preload"))
    assert preload.expanded == pytest.approx(expanded * each.si)
