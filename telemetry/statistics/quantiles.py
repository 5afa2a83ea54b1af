"""Where a share of bikes lies, told by a few of them: a quantile and what bounds it."""

from __future__ import annotations

import numpy as np
from scipy import special

from telemetry.model.arrays import Floats
from telemetry.model.kind_ranges import Quantile

LEVEL = 0.05
"""Of a quantile's interval; common practice, no source."""


def ranks(count: int, share: float) -> tuple[int | None, int | None]:
    """Return between which of so many values by size, from 1, a quantile lies in 95 % of cases or more.

    Parameters
    ----------
    count : int
    share : float
        Of the population below the quantile, between 0 and 1.

    Returns
    -------
    lower, upper : int or None
        None where even the least or the largest of so few doesn't bound it.

    Notes
    -----
    Of values from any one distribution the number below the quantile is binomial: the r-th lies above it with chance
    P(B < r), the s-th below it with P(B >= s), each held to 2.5 % [DavidNagaraja2003].

    Examples
    --------
    >>> ranks(10, 0.5), ranks(12, 0.1)
    ((2, 9), (None, 5))
    """
    below = special.bdtr(np.arange(count, dtype=float), count, share)  # P(B <= j), j from 0 to count - 1
    lower = int((below <= LEVEL / 2).sum())
    above = np.flatnonzero(1 - below <= LEVEL / 2)  # P(B >= j + 1)
    return lower or None, int(above[0]) + 1 if above.size else None


def quantile(values: Floats, share: float) -> Quantile:
    """Return a quantile of values, and between which of them the one of all such bikes lies.

    Parameters
    ----------
    values : float array, shape (n,)
        One a bike.
    share : float
    """
    ordered = np.sort(values)
    lower, upper = ranks(ordered.size, share)
    return Quantile(
        value=float(np.quantile(ordered, share)),
        low=None if lower is None else float(ordered[lower - 1]),
        high=None if upper is None else float(ordered[upper - 1]),
    )
