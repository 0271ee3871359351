"""Ways to find the zero-lash length without feeling the moment at which the clearance goes; lengths in m."""

from math import sqrt


def bracket(slack: float, tight: float) -> tuple[float, float]:
    """Zero-lash length between a pushrod with clearance and a longer one without.

    Args: slack: the longest length at which clearance was still felt (m); tight: the shortest without any (m).
    Returns: the value and its standard uncertainty, without the gauge's and the feel's (m).
    ValueError if tight is the shorter one. Source: JCGM 100:2008, 4.3.7, rectangular distribution.

    >>> value, standard = bracket(9.40, 9.40 + 1 / 28)
    >>> round(value, 4), round(2 * standard, 4)
    (9.4179, 0.0206)
    """
    if tight < slack:
        raise ValueError("the tight length is shorter than the slack one: are the two swapped?")
    return (slack + tight) / 2, (tight - slack) / sqrt(12)


def next_setting(slack: float | None, tight: float | None, pitch: float) -> float:
    """The most useful checker setting: halfway inside a bracket, else half a turn beyond the one side known.

    Args: slack, tight: lengths (m), None where not found yet; pitch: of the checker's thread (m a turn).
    Returns: the length to set (m). ValueError without any side. Source: bisection.

    >>> next_setting(9.0, 9.5, 0.25), next_setting(9.0, None, 0.25), next_setting(None, 9.5, 0.25)
    (9.25, 9.125, 9.375)
    """
    if slack is not None and tight is not None:
        return (slack + tight) / 2
    if slack is not None:
        return slack + pitch / 2
    if tight is not None:
        return tight - pitch / 2
    raise ValueError("'feel' needs a length")


def from_feeler(length: float, gap: float, ratio: float, travel_left: float = 0.0) -> float:
    """Zero-lash length from a known pushrod and the gap at the valve, rocker pressed to the pushrod.

    Args: length: of the known pushrod (m); gap: at the valve (m); ratio (1); travel_left: how far the plunger was
    pressed below its upper stop: zero for a solid lifter or a plunger at its top, the whole travel at its bottom (m).
    Returns: the zero-lash length with the plunger at its upper stop (m). Fixed mounts only.
    ValueError for a ratio not above zero. Source: lever; the gap at the pushrod is gap/ratio.

    >>> round(from_feeler(9.400, 0.032, 1.6), 4)
    9.42
    >>> length, preload = 9.400, 0.16 - 0.032 / 1.6
    >>> round(length - from_feeler(length, 0.032, 1.6, travel_left=0.16), 4) == round(preload, 4)
    True
    """
    if ratio <= 0:
        raise ValueError("a rocker ratio is above zero")
    return length + gap / ratio - travel_left


def from_bolt_turns(length: float, taken_up: float) -> float:
    """Zero-lash length from a known pushrod and what its rocker's bolt takes up from touching to seated.

    Args: length: of the known pushrod (m); taken_up: turns times pitch times (1 + 1/ratio) (m).
    Returns: the length (m). Fixed mounts only. Source: linkage.preload_per_turn.

    >>> from_bolt_turns(9.5, 0.0625)
    9.4375
    """
    return length - taken_up


def valve_held_open(turns: float, pitch: float, ratio: float) -> float:
    """How far a bolt's turns past touching open the valve on a solid lifter (m): turns * pitch * (1 + ratio).

    Source: the pushrod stays put and the pivot comes down by turns times pitch, so the valve side of the lever goes
    down by as much and by ratio times as much again.

    >>> round(valve_held_open(0.75, 1 / 24, 1.6), 5)
    0.08125
    """
    return turns * pitch * (1 + ratio)


def valve_held_open_by_lowered_pivot(lowered: float, ratio: float) -> float:
    """How far a solid lifter holds a valve open if its fixed pivot is lowered over an unchanged pushrod (m).

    >>> round(valve_held_open_by_lowered_pivot(0.040, 1.6), 3)
    0.104
    """
    return valve_held_open(1.0, lowered, ratio)
