"""When readings differ by more than their uncertainties let them."""

from collections.abc import Sequence
from math import sqrt


def chi_square_limit(freedom: int) -> float:
    """Chi-square that good readings pass once in 160.

    Args: freedom: readings beyond those that the fit used up (1). Returns: the limit (1); (3u)^2 where no
    reading is to spare: at 2u one perfect engine of twelve marks in four would be called contradictory. Source:
    approximation of Wilson and Hilferty (1931).

    >>> round(chi_square_limit(1), 1), round(chi_square_limit(4), 1), chi_square_limit(0)
    (7.5, 14.4, 9.0)
    """
    if freedom < 1:
        return 9.0
    spread = 2 / (9 * freedom)
    third_root = 1 - spread + 2.5 * sqrt(spread)
    return freedom * third_root * third_root * third_root


def surprising(differences: Sequence[float], uncertainties: Sequence[float]) -> bool:
    """Whether differences that should all be zero are larger than their uncertainties explain.

    Args: differences; uncertainties: standard ones of the same (same unit). Returns: true once in 160 where
    nothing changed. ValueError without readings. Source: sum of squares against chi_square_limit.

    >>> surprising([0.010, -0.002], [0.002, 0.002]), surprising([0.003, -0.002], [0.002, 0.002])
    (True, False)
    """
    if not differences:
        raise ValueError("nothing was read twice")
    total = sum((d / u) ** 2 for d, u in zip(differences, uncertainties, strict=True))
    return total > chi_square_limit(len(differences))
