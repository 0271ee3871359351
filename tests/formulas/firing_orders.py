"""Engines by firing order, and their base circles: shared by the tests of base circles and of the measuring plan."""

from __future__ import annotations

from buildcheck.formulas.base_circle import heel, heel_middle
from buildcheck.formulas.cam import firing_tdc

FOUR = [1, 3, 4, 2]
SIX = [1, 5, 3, 6, 2, 4]
FLAT_SIX = [1, 4, 5, 2, 3, 6]  # 6 opposed, FAA-H-8083-32, ch. 1
VEE_EIGHT = [1, 8, 4, 3, 6, 5, 7, 2]
VEE_TWELVE = [1, 7, 5, 11, 3, 9, 6, 12, 2, 8, 4, 10]
ODD_FIRE_SIX = [90.0, 150.0] * 3


def heels_of(order, intervals=None, intake=(108, 270), exhaust=(116, 280), margin=10.0):
    windows = {}
    for cylinder, tdc in firing_tdc(order, intervals).items():
        for valve, (centreline, duration) in (("intake", intake), ("exhaust", exhaust)):
            middle = heel_middle(valve, centreline, tdc=tdc)
            windows[cylinder, valve] = heel(middle, duration, margin)
    return windows


def distance(one, other):
    return min((one - other) % 720, (other - one) % 720)
