"""Valve events and firing order, against published timings."""

from __future__ import annotations

import pytest

from buildcheck.formulas import cam

ODD_FIRE_SIX = [90.0, 150.0] * 3


def test_timing_with_published_overlap_and_duration():
    """US Department of the Army, TM 9-8000, ch. 2, p. 2-35/2-36.

    Opens 28 BTDC, exhaust closes 45 ATDC: overlap 73, duration 279.
    """
    intake_centreline = 279 / 2 - 28
    assert cam.intake_opens(279, intake_centreline) == pytest.approx(28)
    assert cam.overlap(28, 45) == 73
    assert 28 + 180 + cam.intake_closes(279, intake_centreline) == pytest.approx(279)


def test_timing_of_a_published_question():
    """Korean National Technical Qualification, 2010-4: opens 13 BTDC, duration 242, closes 49 ABDC."""
    assert cam.intake_opens(242, 108) == 13
    assert cam.intake_closes(242, 108) == 49


def test_the_centreline_lies_midway_between_equal_lifts():
    """Own arithmetic: equal lifts at 40 BTDC and 60 ABDC of one intake give a centreline of 100 ATDC."""
    assert (cam.intake_opens(280, 100), cam.intake_closes(280, 100)) == (40, 60)


def test_advance_brings_every_event_earlier_and_keeps_overlap():
    moved = [
        cam.intake_opens(270, 108, 4) - cam.intake_opens(270, 108),
        cam.intake_closes(270, 108) - cam.intake_closes(270, 108, 4),
        cam.exhaust_opens(280, 116, 4) - cam.exhaust_opens(280, 116),
        cam.exhaust_closes(280, 116) - cam.exhaust_closes(280, 116, 4),
    ]
    assert moved == [4, 4, 4, 4]
    overlap = cam.overlap(cam.intake_opens(270, 108, 4), cam.exhaust_closes(280, 116, 4))
    assert overlap == 51 == (270 + 280) / 2 - 2 * cam.lobe_separation(108, 116)


@pytest.mark.parametrize("duration", [0, -10, 720, 800, float("nan")])
def test_impossible_durations_are_refused(duration):
    with pytest.raises(ValueError, match="cannot stay open"):
        cam.intake_opens(duration, 108)


@pytest.mark.parametrize("order", [[1, 3, 4, 2], [1, 2, 4, 3]])
def test_companion_cylinder_of_a_four(order):
    """US Department of the Army, TM 10-3930-671-24, valve clearance check.

    Number 1 at firing TDC, number 4 on overlap.
    """
    assert cam.companion(1, cam.firing_tdc(order)) == 4


@pytest.mark.parametrize("order", [[1, 3, 4, 2], [1, 2, 4, 3], [1, 4, 2, 6, 3, 5], [1, 4, 5, 2, 3, 6], [3, 4, 2, 1]])
def test_firing_orders_in_use_start_at_cylinder_one(order):
    """Orders of FAA-H-8083-32, ch. 1, the last one written from cylinder 3."""
    tdc = cam.firing_tdc(order)
    assert tdc[1] == 0
    assert sorted(tdc.values()) == [k * 720 / len(order) for k in range(len(order))]
    assert all(cam.companion(cam.companion(c, tdc), tdc) == c for c in order)


def test_odd_fire_intervals_follow_the_order_not_the_numbers():
    tdc = cam.firing_tdc([1, 6, 5, 4, 3, 2], ODD_FIRE_SIX)
    assert tdc == {1: 0, 6: 90, 5: 240, 4: 330, 3: 480, 2: 570}
    assert cam.companion(1, tdc) is None
    assert cam.firing_tdc([6, 5, 4, 3, 2, 1], [150.0, 90.0] * 3) == tdc


@pytest.mark.parametrize(
    ("order", "intervals"),
    [
        ([], None),
        ([1, 2, 2], None),
        ([0, 1], None),
        ([1, 2], [360.0]),
        ([1, 2], [300, 300]),
        ([1, 2], [800, -80]),
    ],
)
def test_impossible_firing_orders_are_refused(order, intervals):
    with pytest.raises(ValueError, match="firing"):
        cam.firing_tdc(order, intervals)


def test_two_cylinders_may_fire_together():
    assert cam.firing_tdc([1, 2, 3, 4], [0, 360, 0, 360]) == {1: 0, 2: 0, 3: 360, 4: 360}
    assert cam.companion(2, cam.firing_tdc([1, 2, 3, 4], [0, 360, 0, 360])) == 3
    assert cam.companion(1, cam.firing_tdc([1, 2], [360.005, 359.995])) is None
