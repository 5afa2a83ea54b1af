"""A line as a path that a page draws and magnifies by itself: nothing is asked for anew while it is dragged over."""

from __future__ import annotations

import numpy as np

from telemetry.model.arrays import Floats

HIGH = 100.0
"""How high the drawing is in its own units; the reader's eye sees as many pixels as the page gives it."""


def line_path(places: Floats, values: Floats, low: float, high: float) -> str:
    """Return a line in the path language of SVG, 100 high, with a gap wherever a value is NaN.

    Parameters
    ----------
    places, values : float arrays, shape (n,)
    low, high : float
        The values at its foot and at its top.

    Examples
    --------
    >>> import numpy as np
    >>> line_path(np.array([0.0, 1.0, 2.0, 3.0]), np.array([0.0, 5.0, np.nan, 10.0]), 0.0, 10.0)
    'M0 100L1 50M3 0'
    """
    heights = HIGH * (high - values) / (high - low)
    known = np.isfinite(heights)
    begins = known & ~np.concatenate([[False], known[:-1]])
    letters = np.where(begins, "M", "L")
    return "".join(
        f"{letter}{round(place, 3):g} {round(height, 1):g}"
        for letter, place, height in zip(letters[known], places[known], heights[known], strict=True)
    )
