"""The bands of a sensor's blocks from which its heading and its gyroscope's turns are told."""

from __future__ import annotations

import numpy as np
from scipy.signal import butter, sosfiltfilt

from telemetry.model.arrays import Floats

PART_S = 10.0
"""Own choice: stretches at least so long, and parts of them whose scatter tells how well a direction is known."""

HELD_TIMES = 4.0
"""A band's upper edge takes so many times as many blocks a second. Own choice."""

HIGHEST_SHARE = 0.4
"""Of the blocks a second: where a band ends at the latest. Own choice."""


def is_held(count: int, rate_hz: float, highest_hz: float) -> bool:
    """Tell whether blocks without a gap are enough for one part, and short enough for a band up to `highest_hz`.

    Parameters
    ----------
    count : int
        How many blocks there are.
    rate_hz : float
        Blocks a second.
    highest_hz : float
    """
    return count >= PART_S * rate_hz and rate_hz >= HELD_TIMES * highest_hz


def in_band(signals: Floats, rate_hz: float, band_hz: tuple[float, float]) -> Floats:
    """Return what of signals lies within a band, without delay.

    Parameters
    ----------
    signals : float array, shape (m, k)
        By blocks without a gap.
    rate_hz : float
        Blocks a second.
    band_hz : pair of float
        The upper is 0.4 of the rate where that is less; the lower lies below it.

    Returns
    -------
    float array, shape (m, k)
        In the signals' unit: Butterworth of the second order, forward and backward.
    """
    edges = band_hz[0], min(band_hz[1], HIGHEST_SHARE * rate_hz)
    sections = butter(2, edges, "bandpass", fs=rate_hz, output="sos")
    return np.asarray(sosfiltfilt(sections, signals, axis=1), dtype=float)
