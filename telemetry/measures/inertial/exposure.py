"""A day's exposure to vibration: what a working day of eight hours would have to hold to come to the same."""

from __future__ import annotations

import math
from collections.abc import Sequence

DAY_S = 28_800.0
"""Eight hours, to which daily exposure is related [ISO5349]."""


def daily_exposure(values_m_s2: Sequence[float], times_s: Sequence[float]) -> float:
    """Return A(8) of one or several exposures in a day, m/s2.

    Parameters
    ----------
    values_m_s2, times_s : sequence of float
        Weighted acceleration and duration of each.

    Notes
    -----
    ``A(8) = sqrt(sum(a^2 T) / 8 h)`` [ISO5349].

    Examples
    --------
    >>> round(daily_exposure([7.4], [2.5 * 3600]), 3)
    4.137
    """
    sum_of_squares = sum(value**2 * time for value, time in zip(values_m_s2, times_s, strict=True))
    return math.sqrt(sum_of_squares / DAY_S)
