"""What the mark on a valve tip says by itself: where it lies, how wide it is, how far it keeps from the edge.

Distances are measured across the tip from its pivot-side edge. An offset is positive away from the rocker's
pivot.
"""

ROUNDING = 1e-12


def _check_order(from_: float, to: float) -> None:
    if to < from_:
        raise ValueError("'to' is smaller than 'from', the edge on the pivot side")


def mark_offset(from_: float, to: float, tip_diameter: float) -> float:
    """Distance of the mark centre from the tip centre, positive towards the far side.

    Args: from_, to: the mark's edges from the pivot-side edge of the tip (m); tip_diameter: contact
    diameter (m).
    Returns: the offset (m). Valid for marks of any width; ValueError where the edges are the wrong way round.
    Source: definition.

    >>> round(mark_offset(0.118, 0.176, 0.310), 6)
    -0.008
    """
    _check_order(from_, to)
    return (from_ + to) / 2 - tip_diameter / 2


def mark_width(from_: float, to: float, contact_band: float = 0.0) -> float:
    """Width of the sweep across the tip: the mark less the width that a contact at rest leaves.

    Args: from_, to: the mark's edges (m); contact_band: width of the mark when nothing moves (m).
    Returns: the width (m). For a mark that reaches the valve tip edge it is a lower bound only.
    ValueError where the band is wider than the mark. Source: definition.

    >>> round(mark_width(0.118, 0.176, contact_band=0.012), 6)
    0.046
    """
    _check_order(from_, to)
    if contact_band < 0:
        raise ValueError("the contact band is not below zero")
    width = to - from_ - contact_band
    if width < -ROUNDING:
        raise ValueError("the mark is narrower than the contact band, measured without turning the crank")
    return max(width, 0.0)


def edge_margins(from_: float, to: float, tip_diameter: float) -> tuple[float, float]:
    """Distances of the mark from the edge of the tip, on the pivot side and on the far side.

    Args: from_, to: the mark's edges (m); tip_diameter: contact diameter of the tip or its lash cap (m).
    Returns: both distances (m), zero or less where it has run off. Source: definition.

    >>> [round(x, 6) for x in edge_margins(0.118, 0.176, 0.310)]
    [0.118, 0.134]
    """
    _check_order(from_, to)
    return from_, tip_diameter - to


def mark_edge_margin(from_: float, to: float, tip_diameter: float) -> float:
    """The least distance between the mark and an edge of the tip; zero or less means that it has run off.

    Args: as for edge_margins (m). Returns: the margin (m). Source: definition.

    >>> round(mark_edge_margin(0.118, 0.176, 0.310), 6)
    0.118
    >>> mark_edge_margin(0.0, 0.060, 0.310)
    0.0
    """
    return min(edge_margins(from_, to, tip_diameter))


def reaches_edge(from_: float, to: float, tip_diameter: float) -> bool:
    """Whether the mark reaches an edge of the tip, so that its width is a lower bound only.

    Args: as for edge_margins (m). Returns: true where no margin is left. Source: definition.

    >>> reaches_edge(0.250, 0.310, 0.310)
    True
    """
    return mark_edge_margin(from_, to, tip_diameter) <= 0
