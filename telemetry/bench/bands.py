"""Bands out of draws: a whole curve lies inside at a stated level."""

from __future__ import annotations

import numpy as np
from scipy.stats import binom

from telemetry.model.arrays import Floats

LEVEL, SURE = 0.90, 0.95
"""Share of draws that lie inside as whole curves, and how sure it is that so many of all possible ones would."""
FEWEST_DRAWS = 50
NO_WIDTH = 1e-9


def draws_inside(draws: int) -> int:
    """Return how many of so many draws a band has to hold.

    Notes
    -----
    The least number of which it is `SURE` that `LEVEL` of all possible draws lie inside too: an order statistic.

    Examples
    --------
    >>> draws_inside(400)
    371
    """
    return min(draws, int(binom.ppf(SURE, draws, LEVEL)) + 1)


def band(measured: Floats, draws: Floats) -> tuple[Floats, Floats] | None:
    """Return the lower and upper edge of a band about a curve that holds whole draws; None with too few of them.

    Parameters
    ----------
    measured : float array, shape (n,)
    draws : float array, shape (draws, n)

    Returns
    -------
    tuple of float arrays, shape (n,), or None

    Notes
    -----
    Everywhere as many standard deviations wide; how many, the draws' own furthest places say.
    """
    if len(draws) < FEWEST_DRAWS:
        return None
    spread = np.sqrt(np.mean((draws - measured) ** 2, axis=0))
    furthest = np.max(np.abs(draws - measured) / np.maximum(spread, NO_WIDTH), axis=1)
    width = np.sort(furthest)[draws_inside(len(draws)) - 1] * spread
    return measured - width, measured + width
