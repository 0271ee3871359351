"""Valve lift, valve springs and the room they leave; lengths in m, forces in N, rates in N/m."""

from __future__ import annotations

# ends -> (inactive coils, coils added to all of them when the spring is solid)
_ENDS: dict[str, tuple[int, int]] = {
    "plain": (0, 1),
    "plain ground": (1, 0),
    "squared": (2, 1),
    "squared ground": (2, 0),
}


def valve_lift(lobe_lift: float, ratio: float, lash: float = 0.0) -> float:
    """Lift at the valve, m: lobe lift × rocker ratio, less the lash at the valve of a solid lifter.

    >>> round(valve_lift(0.350, 1.6), 3)
    0.56
    """
    if min(lobe_lift, ratio) <= 0 or lash < 0:
        raise ValueError("lobe lift and rocker ratio are above zero, and lash is not below it")
    return lobe_lift * ratio - lash


def rate_from_two_loads(load: float, height: float, other_load: float, other_height: float) -> float:
    """Spring rate, N/m, from the loads (N) read at two heights (m): difference of loads over heights.

    Straight springs; a progressive one has this rate between the two heights only.

    >>> rate_from_two_loads(120.0, 1.75, 290.0, 1.25)
    340.0
    """
    if height == other_height:
        raise ValueError("a rate needs loads at two different heights")
    rate = (other_load - load) / (height - other_height)
    if rate <= 0:
        raise ValueError("a spring carries more at its smaller height: are these loads swapped?")
    return rate


def force_open(seat_force: float, rate: float, lift: float) -> float:
    """Spring force at full lift, N: seat force + rate × valve lift; static, without surge.

    >>> force_open(120.0, 340.0, 0.5)
    290.0
    """
    return seat_force + rate * lift


def coil_bind_clearance(installed_height: float, lift: float, coil_bind_height: float) -> float:
    """Distance that the spring could still be compressed at full lift, m; zero or less: its coils touch.

    >>> round(coil_bind_clearance(1.750, 0.560, 1.100), 3)
    0.09
    """
    if not 0 < coil_bind_height < installed_height:
        raise ValueError("installed height is not above the coil-bind height")
    return installed_height - lift - coil_bind_height


def retainer_to_seal(shut: float, lift: float) -> float:
    """Distance between retainer and seal at full lift, m, from the distance with the valve closed.

    >>> round(retainer_to_seal(0.620, 0.560), 3)
    0.06
    """
    return shut - lift


def solid_height(wire: float, coils: float, ends: str) -> float:
    """Height with all coils touching, m, from wire (m), total coils and ends.

    Ends: plain, plain ground, squared, squared ground. Source: Shigley's, 10th ed, Table 10-1 (from memory).

    >>> round(solid_height(0.037, 12.5, "squared"), 4)
    0.4995
    """
    inactive, added = _end_coils(ends)
    if wire <= 0 or coils <= inactive:
        raise ValueError("a spring needs wire and more coils than its ends use")
    return wire * (coils + added)


def rate_from_wire(wire: float, outside: float, coils: float, ends: str, shear_modulus: float) -> float:
    """Rate of a spring of round wire, N/m: G·d⁴/(8·D³·Na); wire and outside diameter in m, modulus in Pa.

    One straight spring alone, ends as for solid_height. Source: Shigley's, 10th ed, §10-3 (from memory).

    >>> round(rate_from_wire(0.037, 0.437, 12.5, "squared", 11.85e6), 2)
    4.13
    """
    inactive, _ = _end_coils(ends)
    if not 0 < wire < outside / 2 or coils <= inactive:
        raise ValueError("a spring's wire is thinner than its radius and some of its coils are active")
    return float(shear_modulus * wire**4 / (8 * (outside - wire) ** 3 * (coils - inactive)))


def load_loss(when_new: float, now: float) -> float:
    """Share of its load that a spring has lost at the same height: 0.1 is 10 %; negative: it now carries more.

    >>> load_loss(100.0, 88.0)
    0.12
    """
    if when_new <= 0 or now < 0:
        raise ValueError("a spring's loads are above zero")
    return (when_new - now) / when_new


def _end_coils(ends: str) -> tuple[int, int]:
    if ends not in _ENDS:
        raise ValueError(f"a spring's ends are {', '.join(_ENDS)}, not {ends!r}")
    return _ENDS[ends]
