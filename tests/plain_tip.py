"""A plain tip's mark at any height of its pivot, written again with scipy, and the rise that centres it."""

from __future__ import annotations

from math import sqrt

from scipy.optimize import brentq


def sweep(arm: float, lift: float, above: float) -> tuple[float, float]:
    """Nearest and farthest contact from the foot of the pivot; ``above`` it the curve is centred, valve shut."""
    ends = [sqrt(arm**2 - (above - lifted) ** 2) for lifted in (0.0, lift)]
    return min(ends), arm if 0 < above < lift else max(ends)


def above_pivot(arm: float, lift: float, width: float) -> float:
    """The height that leaves a mark so wide."""
    return float(brentq(lambda s: sweep(arm, lift, s)[1] - sweep(arm, lift, s)[0] - width, lift / 2, arm))


def centre_moves(arm: float, lift: float, width: float, rise: float) -> float:
    """How far the mark's centre goes away from the pivot as the pivot rises."""
    now = above_pivot(arm, lift, width)
    return (sum(sweep(arm, lift, now - rise)) - sum(sweep(arm, lift, now))) / 2


def most_to_the_far_side(arm: float, lift: float, width: float) -> float:
    """At mid-lift the mark is narrowest, and turns back."""
    return centre_moves(arm, lift, width, above_pivot(arm, lift, width) - lift / 2)


def rise_to_middle(arm: float, lift: float, width: float, off: float) -> float:
    """The rise that puts a mark in the middle that lies ``off`` away from the pivot."""
    now = above_pivot(arm, lift, width)
    return float(brentq(lambda t: centre_moves(arm, lift, width, t) + off, now - arm, now - lift / 2, xtol=1e-13))
