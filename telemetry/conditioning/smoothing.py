"""The low-pass every signal goes through: Butterworth, order 4, forward and backward."""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
from scipy.signal import butter, sosfilt, sosfilt_zi, sosfiltfilt

from telemetry.model.arrays import Floats, read_only

ORDER = 4
TWO_PASS = (math.sqrt(2.0) - 1.0) ** (1.0 / (2 * ORDER))
"""Cut-off of two passes over cut-off of one pass, 0.89568 at order 4 [Winter2009]."""

SHORTEST = 16
"""Fewest samples the filter's padding can take."""

BLOCK = 1 << 17
"""Samples filtered at a time: long logs need no copies of themselves, and a block stays in the processor's cache."""


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


@lru_cache(maxsize=64)
def _sections(rate_hz: float, cutoff_hz: float) -> Floats:
    """Return the filter's second-order sections; a day's logs share a few."""
    return read_only(butter(ORDER, design_cutoff_hz(cutoff_hz, rate_hz), fs=rate_hz, output="sos"))


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
    ``scipy.signal.butter(4)`` as second-order sections, ``sosfiltfilt`` with its odd padding; long stretches block by
    block, which gives the same numbers.

    Examples
    --------
    >>> import numpy as np
    >>> bool(np.allclose(lowpass(np.full(100, 3.0), 500.0, 60.0), 3.0))
    True
    """
    sections = _sections(rate_hz, cutoff_hz).copy()  # the library wants to be able to write to them
    if signal.shape[0] < 2 * BLOCK:
        return np.ascontiguousarray(sosfiltfilt(sections, signal))
    return both_ways(sections, signal)


def both_ways(sections: Floats, signal: Floats, block: int = BLOCK) -> Floats:
    """Return what ``scipy.signal.sosfiltfilt`` returns, in the memory of one copy of the signal.

    Parameters
    ----------
    sections : float array, shape (k, 6)
        Second-order sections, none of lower order.
    signal : float array, shape (n,)
        Longer than the padding of 3 (2 k + 1) samples.
    block : int
        Samples filtered at a time.

    Returns
    -------
    float array, shape (n,)
    """
    pad = 3 * (2 * sections.shape[0] + 1)
    at_rest = sosfilt_zi(sections)
    before, after = 2 * signal[0] - signal[pad:0:-1], 2 * signal[-1] - signal[-2 : -pad - 2 : -1]
    starts = range(0, signal.shape[0], block)
    filtered = np.empty_like(signal)
    _, state = sosfilt(sections, before, zi=at_rest * before[0])
    for start in starts:
        filtered[start : start + block], state = sosfilt(sections, signal[start : start + block], zi=state)
    after, _ = sosfilt(sections, after, zi=state)
    _, state = sosfilt(sections, after[::-1], zi=at_rest * after[-1])
    for start in reversed(starts):
        back, state = sosfilt(sections, filtered[start : start + block][::-1], zi=state)
        filtered[start : start + block] = back[::-1]
    return filtered
