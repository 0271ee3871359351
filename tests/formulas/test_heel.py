"""Heels against a published valve setting and against the events that end them."""

from __future__ import annotations

import pytest
from firing_orders import FOUR, heels_of

from buildcheck.formulas import cam
from buildcheck.formulas.base_circle import heel, heel_margin, heel_middle, on_heel, ramp


def test_base_circle_by_published_valve_setting_in_two_stops():
    """US Department of the Army, TM 5-3805-258-24-1, p. 4-28.

    Four in line, 1 firing: intakes 1, 2, exhausts 1, 3; then the others.

    Its firing order is not on that page: 1-3-4-2 is taken, with which the page agrees.
    """
    windows = heels_of(FOUR, margin=20)
    first = {(1, "intake"), (2, "intake"), (1, "exhaust"), (3, "exhaust")}
    assert all(on_heel(0, windows[valve]) for valve in first)
    assert all(on_heel(360, windows[valve]) for valve in windows.keys() - first)
    assert not on_heel(0, windows[4, "intake"])
    assert not on_heel(0, windows[4, "exhaust"])


def test_base_circle_middle_is_half_a_cycle_from_the_nose_and_its_window_ends_at_the_events():
    intake = heel(heel_middle("intake", 108, advance=4, tdc=240), 270, margin=0)
    assert intake.middle == 240 + 104
    closes = 240 - 180 + cam.intake_closes(270, 108, 4)
    opens = 240 + 360 - cam.intake_opens(270, 108, 4)
    assert (intake.middle - intake.reach, intake.middle + intake.reach) == (closes, opens)
    exhaust = heel(heel_middle("exhaust", 116, advance=4), 280, margin=0)
    assert exhaust.middle - exhaust.reach == 360 + cam.exhaust_closes(280, 116, 4)
    assert exhaust.middle + exhaust.reach == 720 + 180 - cam.exhaust_opens(280, 116, 4)


def test_base_circle_windows_wrap_over_the_cycle_and_own_their_ends():
    window = heel(650, 270)
    assert on_heel(145, window)
    assert not on_heel(145.1, window)
    assert on_heel(435, window)
    assert not on_heel(434.9, window)


def test_both_valves_are_on_the_base_circle_exactly_in_the_both_shut_window():
    windows = heels_of([1])
    first, last = cam.both_shut_window(cam.intake_closes(270, 108), cam.exhaust_opens(280, 116))
    shut = {crank for crank in range(-180, 181) if all(on_heel(crank, w) for w in windows.values())}
    assert shut == set(range(int(first), int(last) + 1))
    with pytest.raises(ValueError, match="never closed together"):
        cam.both_shut_window(180, 180)


def test_no_base_circle_left_is_refused():
    with pytest.raises(ValueError, match="no base circle"):
        heel(108, 700, margin=11)
    with pytest.raises(ValueError, match="intake or exhaust"):
        heel_middle("inlet", 108)


def test_base_circle_margin_is_the_room_to_the_end_of_the_window():
    window = heel(heel_middle("exhaust", 116), 280, margin=0)
    for crank in range(0, 720, 7):
        margin = heel_margin(crank, window.middle, 280)
        assert on_heel(crank, window) == (margin >= 0)
        assert margin == heel_margin(crank, window.middle, 280, ramp=30) + 30


def test_ramp_widens_from_twenty_thousandths_and_refuses_fifty():
    """Common practice, no published source."""
    rises = [0.006, 0.0199, 0.020, 0.0499]
    assert [ramp(round(rise * 0.0254, 9)) for rise in rises] == [0, 0, 30, 30]
    with pytest.raises(ValueError, match=r"0\.050 in or more"):
        ramp(0.00127)


def test_a_base_circle_may_be_a_single_point():
    assert heel(108, 700, margin=10).reach == 0
    assert cam.both_shut_window(80, 80, margin=100) == (0, 0)
