"""Readings on and off the base circle, implausible cams, and how a build's files mention them."""

from __future__ import annotations

from pathlib import Path

import pytest
from rewritten import as_it_is, kinds, results, rewritten

from buildcheck.advice.valve_advice import advise
from buildcheck.core.subject import Subject
from buildcheck.core.value import Undecided
from buildcheck.formulas import cam

SIX, EIGHT = "example_build", "tests/builds/vee_eight_mm"
NOSE = ("marks.yaml", "crank: 107 deg", "crank: 467 deg")
FIRST = Subject(1, "intake")


def test_every_reading_of_the_example_is_on_its_base_circle() -> None:
    assert kinds(as_it_is(SIX), "measured-on-heel") == {"pass"}


def test_a_reading_a_turn_out_fails_at_its_crank_angle(tmp_path: Path) -> None:
    found = next(one for one in results(rewritten(tmp_path, SIX, NOSE), "measured-on-heel") if one.kind == "fail")
    assert (found.subject, found.blocks, str(found.place)) == (FIRST, True, "marks.yaml:16:12")
    assert "-132.0 deg (read at 467 deg; base circle from 609 to 325 deg)" in found.message


@pytest.mark.parametrize("name", ["length_asked", "length_change_for_mark"])
def test_lengths_of_a_valve_read_off_its_base_circle_stay_open(tmp_path: Path, name: str) -> None:
    found = rewritten(tmp_path, SIX, NOSE)
    with pytest.raises(Undecided, match="off the base circle"):
        found.facts.get(name, FIRST)
    assert found.facts.get(name, Subject(2, "intake")).si
    assert [one.kind for one in results(found, "length-orderable") if one.subject == FIRST] == ["open"]


def test_the_zero_lash_length_of_a_fixed_mount_stays_open_too(tmp_path: Path) -> None:
    found = rewritten(tmp_path, EIGHT, ("marks.yaml", "crank: 108 deg", "crank: 480 deg"))
    for name in ("zero_lash_length", "preload"):
        with pytest.raises(Undecided, match="off the base circle"):
            found.facts.get(name, FIRST)
    assert FIRST in [subject for subject, _ in found.order.unknown]


def test_a_crank_angle_that_was_not_recorded_is_a_note_and_opens_nothing(tmp_path: Path) -> None:
    found = rewritten(tmp_path, SIX, ("marks.yaml", "    crank: 107 deg\n", ""))
    note = next(one for one in results(found, "measured-on-heel") if one.kind == "open")
    assert (note.subject, note.blocks) == (FIRST, False)
    assert "No crank angle is recorded" in note.message
    assert found.verdict == "pass"


def test_a_builds_own_margin_counts_for_the_reading_and_for_its_lengths(tmp_path: Path) -> None:
    near = ("marks.yaml", "crank: 107 deg", "crank: 615 deg")
    wider = "limits:\n  measured-on-heel: {at_least: 20 deg, because: the degree wheel is small}\n"
    assert kinds(rewritten(tmp_path / "rule", SIX, near), "measured-on-heel") == {"pass"}
    found = rewritten(tmp_path / "own", SIX, near, ("build.yaml", "limits:\n", wider))
    assert "fail" in kinds(found, "measured-on-heel")
    with pytest.raises(Undecided):
        found.facts.get("length_asked", FIRST)


def test_durations_from_twenty_thousandths_on_widen_the_margin_by_the_ramp(tmp_path: Path) -> None:
    late = ("cam.yaml", "duration_at: 0.006 in", "duration_at: 0.020 in")
    narrow, wide = (found.facts for found in (rewritten(tmp_path, SIX, late), as_it_is(SIX)))
    assert narrow.get("heel_margin", FIRST).si == wide.get("heel_margin", FIRST).si - 30
    assert (narrow.get("heel_from", FIRST).si - wide.get("heel_from", FIRST).si) % 720 == 30


def test_durations_at_fifty_thousandths_do_not_tell_a_base_circle_and_say_what_to_do(tmp_path: Path) -> None:
    found = rewritten(tmp_path, SIX, ("cam.yaml", "duration_at: 0.006 in", "duration_at: 1.27 mm"))
    one = results(found, "measured-on-heel")[0]
    assert (one.kind, one.blocks, one.place.file) == ("open", False, "cam.yaml")
    assert "enter the seat-to-seat (advertised) durations" in one.message


def test_an_uncertain_crank_angle_beside_the_turn_of_the_cycle_stays_uncertain_by_as_much(tmp_path: Path) -> None:
    doubt = ("cam.yaml", "centreline: 107 deg", "centreline: 107 deg +/- 2 deg")
    facts = rewritten(tmp_path, SIX, doubt).facts
    for cylinder in range(1, 7):
        for name in ("heel_from", "heel_middle", "heel_to"):
            assert facts.get(name, Subject(cylinder, "intake")).expanded == pytest.approx(2)


def test_both_shut_windows_stand_about_each_cylinders_own_firing_tdc() -> None:
    facts = as_it_is(SIX).facts
    window = cam.both_shut_window(facts.get("intake_closes").si, facts.get("exhaust_opens").si, 10)
    for subject in facts.subjects("cylinder"):
        fires = facts.get("firing_tdc", subject).si
        found = tuple(cam.turn(fires, facts.get(f"both_shut_{end}", subject).si) for end in ("from", "to"))
        assert found == pytest.approx(window)


def test_the_cams_of_all_builds_are_plausible() -> None:
    for folder in (SIX, EIGHT, "tests/builds/flat_four_solid", "tests/builds/inline_four_pad"):
        assert kinds(as_it_is(folder), "events-plausible") == {"pass"}


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        ("duration: 264 deg", "duration: 132 deg", "intake opens -41.0 deg before top dead centre (-30 to 80 deg is"),
        ("centreline: 113 deg", "centreline: 157 deg", "lobe separation is 132.0 deg"),
        ("base_circle", "advance: 22 deg\nbase_circle", "cam advance is 25.0 deg"),
    ],
)
def test_slips_on_the_cams_card_are_named(tmp_path: Path, old: str, new: str, expected: str) -> None:
    found = rewritten(tmp_path, SIX, ("cam.yaml", old, new))
    (odd,) = results(found, "events-plausible")
    assert (odd.kind, odd.level, odd.blocks, odd.place.file) == ("fail", "warning", False, "cam.yaml")
    assert expected in odd.message


def test_the_next_step_on_a_valve_read_off_its_base_circle_is_to_mark_it_again(tmp_path: Path) -> None:
    found = advise(rewritten(tmp_path, SIX, NOSE).facts, FIRST)
    assert (found.step.action, found.length_asked, found.needs_work) == ("mark again", None, True)
    assert "off the base circle" in found.step.why
