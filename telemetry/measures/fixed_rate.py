"""What so many strokes a minute reach: a figure that more small strokes don't dilute, as they do a percentile."""

from __future__ import annotations

import math

import numpy as np

from telemetry.model.arrays import Floats

from .missing import Missing, Outcome

PER_MINUTE = 10.0
FEWEST_IN_SECTION = 5
"""Strokes, within a section of a comparison: there a percentile stands in."""


def reached_ten_a_minute(values: Floats, minutes: float, what: str) -> Outcome:
    """Return what ten strokes a minute reach.

    Parameters
    ----------
    values : float array, shape (n,)
        A figure of every stroke.
    minutes : float
        Riding time.
    what : str
        "hits" or "returns", for the reason.

    Returns
    -------
    float or Missing
        The k-th largest, k = 10 x minutes, linear between ranks.

    Examples
    --------
    >>> import numpy as np
    >>> reached_ten_a_minute(np.array([5.0, 9.0, 7.0]), 0.15, "hits")
    8.0
    """
    rank = PER_MINUTE * minutes
    if rank < 1:
        return Missing(f"{60 * minutes:.1f} s of riding, at least 6 s needed")
    if values.size < rank:
        return Missing(f"{values.size} {what}, fewer than ten a minute")
    ordered = np.sort(values)[::-1]
    whole = math.floor(rank)
    upper = float(ordered[whole - 1])
    part = rank - whole
    return upper if part == 0 else upper + part * (float(ordered[whole]) - upper)
