"""The low-pass every signal goes through: Butterworth, order 4, forward and backward."""

from __future__ import annotations

import math

import numpy as np
from scipy.signal import butter, sosfiltfilt

from telemetry.model.arrays import Floats

ORDER = 4
TWO_PASS = (math.sqrt(2.0) - 1.0) ** (1.0 / (2 * ORDER))
"""Cut-off of two passes over cut-off of one pass, 0.89568 at order 4 [Winter2009]."""

SHORTEST = 16
"""Fewest samples the filter's padding can take."""


def design_cutoff_hz(cutoff_hz: float, rate_hz: float) -> float:
    """Return the single-pass design cut-off that puts -3 dB of both passes at `cutoff_hz`.

    Parameters
    ----------
    cutoff_hz : float
        Wanted -3 dB frequency after both passes, Hz; below half of `rate_hz`.
    rate_hz : float
        Sampling rate, Hz.

    Returns
    -------
    float
        Cut-off to design one pass with, Hz.

    Raises
    ------
    ValueError
        If the cut-off doesn't lie between 0 and half the rate.

    Notes
    -----
    ``rate / pi * atan(tan(pi * cutoff / rate) / 0.89568)``: the correction for two passes acts on the
    pre-warped (tangent) frequency [Winter2009].

    Examples
    --------
    >>> round(design_cutoff_hz(20.0, 1000.0), 6)
    22.322162
    """
    if not 0 < cutoff_hz < rate_hz / 2:
        raise ValueError(f"cut-off {cutoff_hz:g} Hz must lie between 0 and half the rate, {rate_hz / 2:g} Hz")
    return rate_hz / math.pi * math.atan(math.tan(math.pi * cutoff_hz / rate_hz) / TWO_PASS)


def lowpass(signal: Floats, rate_hz: float, cutoff_hz: float) -> Floats:
    """Return `signal` without what is faster than `cutoff_hz`, without delay.

    Parameters
    ----------
    signal : float array, shape (n,)
        One gap-free stretch, n >= 16.
    rate_hz, cutoff_hz : float
        Sampling rate and -3 dB frequency after both passes, Hz.

    Returns
    -------
    float array, shape (n,)
        In the signal's unit, contiguous.

    Raises
    ------
    ValueError
        If the stretch is shorter than the padding or the cut-off not below half the rate.

    Notes
    -----
    ``scipy.signal.butter(4)`` as second-order sections, ``sosfiltfilt`` with its odd padding.

    Examples
    --------
    >>> import numpy as np
    >>> bool(np.allclose(lowpass(np.full(100, 3.0), 500.0, 60.0), 3.0))
    True
    """
    sections = butter(ORDER, design_cutoff_hz(cutoff_hz, rate_hz), fs=rate_hz, output="sos")
    return np.ascontiguousarray(sosfiltfilt(sections, signal))
