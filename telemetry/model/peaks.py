"""Where a peak lies between samples."""

from __future__ import annotations

import numpy as np

from .arrays import Floats


def peak_shift(below: Floats | float, top: Floats | float, above: Floats | float) -> Floats:
    """Return how far from the middle one of three even samples the top of the parabola through them lies, in steps.

    Parameters
    ----------
    below, top, above : float or float arrays of one shape

    Returns
    -------
    float array
        -0.5 to 0.5; 0 where the three don't bend like a peak.

    Examples
    --------
    >>> float(peak_shift(6.0, 10.0, 8.0))
    0.16666666666666666
    """
    bend = np.asarray(below - 2 * top + above)
    is_peak = bend < 0
    shift = 0.5 * (below - above) / np.where(is_peak, bend, -1.0)
    return np.where(is_peak, np.clip(shift, -0.5, 0.5), 0.0)
