"""The rocker's tip circle on a flat valve tip: where it touches, how far it sweeps, what a mark shows of it.

The tip circle's centre lies at `valve_arm` from the pivot and s above it, s falling from s0 (valve shut) to
s0 - lift. The height error q = s0 - lift/2 is positive where the pivot sits too low for mid-lift, negative
where too high.
"""

from math import radians, sqrt, tan

ROUNDING = 1 + 1e-12


def _across(valve_arm: float, s: float) -> float:
    try:
        return sqrt(valve_arm * valve_arm - s * s)
    except ValueError:
        if abs(s) > valve_arm * ROUNDING:
            raise ValueError("the rocker's arm is too short to reach that height") from None
        return 0.0


def contact_position(valve_arm: float, s: float, pivot_offset: float) -> float:
    """Where the tip circle touches the valve tip, from the tip's centre, positive away from the pivot.

    Args: valve_arm: pivot to the centre of the tip's circle (m); s: height of that centre above the pivot
    at the lift in question (m); pivot_offset: pivot to the valve's axis (m).
    Returns: the position (m). Valid for a flat tip square to the valve; ValueError where |s| exceeds the arm.
    Source: right triangle of arm and height.

    >>> round(contact_position(1.550, 0.280, 1.530), 5)
    -0.0055
    """
    return _across(valve_arm, s) - pivot_offset


def swept(valve_arm: float, lift: float, s0: float) -> tuple[float, float]:
    """The nearest and farthest contact from the pivot, along the tip, as the valve opens and shuts.

    Args: valve_arm (m); lift: valve lift (m); s0: height of the tip circle's centre over the pivot, valve
    shut (m).
    Returns: nearest and farthest (m). ValueError where the arm cannot reach. Source: contact_position over
    the lift.

    >>> [round(x, 4) for x in swept(1.550, 0.560, 0.280)]
    [1.5245, 1.55]
    """
    if lift <= 0:
        raise ValueError("a valve that does not lift leaves no sweep to judge")
    ends = _across(valve_arm, s0), _across(valve_arm, s0 - lift)
    return min(ends), valve_arm if 0 <= s0 <= lift else max(ends)


def sweep_width(valve_arm: float, lift: float, s0: float) -> float:
    """How wide a mark the tip circle sweeps on the valve tip.

    Args: as for swept (m). Returns: the width (m), exact for every s0 within the arm's reach. Source: swept.

    >>> round(sweep_width(1.550, 0.560, 0.280), 5)
    0.0255
    """
    nearest, farthest = swept(valve_arm, lift, s0)
    return farthest - nearest


def mark_width_least(valve_arm: float, lift: float) -> float:
    """The narrowest mark that a roller tip can leave: the pivot is square to the valve at half lift.

    Args: valve_arm (m); lift (m). Returns: the width (m). ValueError where the lift exceeds twice the arm.
    Source: a - sqrt(a^2 - L^2/4), the sagitta of the arc swept.

    >>> round(mark_width_least(1.550, 0.560), 5)
    0.0255
    """
    return sweep_width(valve_arm, lift, lift / 2)


def width_and_slope(valve_arm: float, lift: float, height_error: float) -> tuple[float, float]:
    """How wide a mark the tip circle sweeps, and how fast it widens as the height error grows.

    Args: valve_arm (m); lift (m); height_error: q (m).
    Returns: the width (m), the same for q and -q; its change per change of height error (1), at zero as it grows
    above zero. ValueError as for swept; the arm must stop short of pointing along the valve, where the slope has no
    end. Source: sweep_width and its derivative.

    >>> [round(x, 4) for x in width_and_slope(1.550, 0.560, -0.080)]
    [0.0424, -0.2388]
    """
    if lift <= 0:
        raise ValueError("a valve that does not lift leaves no sweep to judge")
    apart, half = abs(height_error), lift / 2
    outer, inner = apart + half, apart - half
    nearest = _across(valve_arm, outer)
    farthest, slope = valve_arm, outer / nearest
    if inner > 0:
        farthest = _across(valve_arm, inner)
        slope -= inner / farthest
    return farthest - nearest, slope if height_error >= 0 else -slope


def width_at(valve_arm: float, lift: float, height_error: float) -> float:
    """How wide a mark the tip circle sweeps with the pivot off its best height.

    Args: valve_arm (m); lift (m); height_error: q (m). Returns: the width (m), the same for q and -q.
    Source: sweep_width.

    >>> [round(width_at(1.550, 0.560, q), 5) for q in (0.040, -0.040, 0.080)]
    [0.03339, 0.03339, 0.04239]
    """
    return sweep_width(valve_arm, lift, height_error + lift / 2)


def contacts_and_slope(valve_arm: float, lift: float, height_error: float) -> tuple[float, float]:
    """How far the contact with the valve shut lies beyond the one at full lift, and how fast that changes.

    Args: valve_arm (m); lift (m); height_error: q (m). Returns: shut_at - open_at (m), of the sign opposite
    to q; its change per change of height error (1), near -lift/valve_arm.
    Source: contact_position at both ends of the lift, and its derivative.

    >>> [round(x, 4) for x in contacts_and_slope(1.550, 0.560, 0.040)]
    [-0.0147, -0.3677]
    """
    half = lift / 2
    shut, full = height_error + half, height_error - half
    at_shut, at_full = _across(valve_arm, shut), _across(valve_arm, full)
    return at_shut - at_full, full / at_full - shut / at_shut


def height_error_from_contacts(valve_arm: float, lift: float, shut_at: float, open_at: float) -> float:
    """The height error, with its sign, from where the tip touches with the valve shut and at full lift.

    Args: valve_arm (m); lift (m); shut_at, open_at: contact lines from the pivot-side edge of the tip (m).
    Returns: q (m), free of the contact band. ValueError where the arm cannot sweep so far.
    Source: q = -D*sqrt(a^2/(L^2 + D^2) - 1/4), D = shut_at - open_at: the chord between both contacts
    is square to the line from the pivot to its middle.

    >>> round(height_error_from_contacts(1.550, 0.560, 0.1210, 0.1357), 4)
    0.04
    """
    if lift <= 0:
        raise ValueError("a valve that does not lift leaves no sweep to judge")
    between = shut_at - open_at
    if between**2 > lift * (2 * valve_arm - lift) * ROUNDING:
        raise ValueError("the two contact lines are farther apart than this rocker can sweep at this lift")
    return -between * sqrt(max(valve_arm**2 / (lift**2 + between**2) - 0.25, 0.0))


def height_error_from_width(valve_arm: float, lift: float, width: float) -> float:
    """Distance of the pivot from its best height, from the width of the mark; the width does not show the sign.

    Args: valve_arm (m); lift (m); width: the mark less its contact band (m).
    Returns: |q| (m); 0 for a width at or below the least, which the caller holds against its uncertainty.
    ValueError where the mark is wider than the arm can sweep. Source: width_at solved for q in closed form.

    >>> round(height_error_from_width(1.550, 0.560, 0.03339), 3)
    0.04
    >>> height_error_from_width(1.550, 0.560, 0.020)
    0.0
    """
    if width <= mark_width_least(valve_arm, lift):
        return 0.0
    reach = max(valve_arm - lift / 2, 0.0)
    if width > width_at(valve_arm, lift, reach):
        raise ValueError("the mark is wider than this rocker arm can sweep at this lift")
    inside = sqrt(width * (2 * valve_arm - width)) - lift / 2 if width < valve_arm else reach
    if inside <= lift / 2:
        return inside
    return min(abs(height_error_from_contacts(valve_arm, lift, 0.0, width)), reach)


def centre_at(valve_arm: float, lift: float, height_error: float, pivot_offset: float) -> float:
    """Where the mark's centre will lie on the tip for a height error, positive away from the pivot.

    Args: valve_arm (m); lift (m); height_error: q (m); pivot_offset: pivot to the valve's axis (m).
    Returns: the centre from the tip's centre (m), the same for q and -q. Source: swept.

    >>> round(centre_at(1.550, 0.560, 0.0, 1.530), 5)
    0.00725
    """
    return sum(swept(valve_arm, lift, height_error + lift / 2)) / 2 - pivot_offset


def height_error_from_centre(valve_arm: float, lift: float, centre: float) -> float:
    """Distance of the pivot from its best height, from how far the mark's centre lies from the pivot.

    Args: valve_arm (m); lift (m); centre: of the mark, from the pivot along the tip (m), within what the arm sweeps.
    Returns: |q| (m); 0 for a centre as far as at the best height, or farther. Source: centre_at with a pivot offset of
    0, solved for q in closed form: within half the lift the far edge is the arm's length, beyond it both edges move.

    >>> [round(height_error_from_centre(1.550, 0.560, centre_at(1.550, 0.560, q, 0.0)), 5) for q in (0.1, 0.5, -0.5)]
    [0.1, 0.5, 0.5]
    """
    nearest = max(2 * centre - valve_arm, 0.0)
    inside = sqrt(max(valve_arm**2 - nearest**2, 0.0)) - lift / 2
    if inside <= lift / 2:
        return max(inside, 0.0)
    return centre * sqrt(max(valve_arm**2 / (centre**2 + lift**2 / 4) - 1, 0.0))


def pivot_offset_from_centre(valve_arm: float, lift: float, height_error: float, centre: float) -> float:
    """The distance from the pivot to the valve's axis that puts the mark's centre where it was read.

    Args: valve_arm (m); lift (m); height_error: q (m); centre: the mark's offset (m). Returns: the distance
    (m).
    Source: centre_at solved for the offset.

    >>> round(pivot_offset_from_centre(1.550, 0.560, 0.0, 0.0), 5)
    1.53725
    """
    return centre_at(valve_arm, lift, height_error, 0.0) - centre


def centre_at_narrowest(valve_arm: float, lift: float, height_error: float, centre: float, lean: float = 0.0) -> float:
    """Distance of the mark centre from the tip centre once the pivot is at its best height.

    Args: valve_arm (m); lift (m); height_error: q now (m); centre: the mark's offset now (m); lean: of the
    stud towards the valve (degrees).
    Returns: the offset (m), positive away from the pivot; with an upright stud the same for q and -q.
    Source: centre_at; raising the pivot by q along a leaning stud brings it nearer by q*tan(lean).

    >>> round(centre_at_narrowest(1.550, 0.560, 0.080, -0.010), 5)
    -0.00156
    >>> round(centre_at_narrowest(1.550, 0.560, 0.080, -0.010, lean=4.0), 5)
    0.00404
    """
    offset = pivot_offset_from_centre(valve_arm, lift, height_error, centre)
    return centre_at(valve_arm, lift, 0.0, offset - height_error * tan(radians(lean)))
