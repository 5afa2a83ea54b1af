"""The band in which shaking is told: upward acceleration without what is slow or faster than the log can hold."""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
from scipy.signal import butter, sosfiltfilt

from telemetry.model.arrays import Floats, read_only

LOWEST_HZ = 1.0
HIGHEST_HZ = 80.0
"""Bounds of what is told as shaking: below lie the trail's shape and the drift of attitude, above tyre noise and the
ringing of brackets. From memory of vehicle practice (ISO 2631-1 ends at 80 Hz too); own choice."""
HELD_SHARE = 0.4
"""Of the rate: what a log holds, as for the low-pass of travel."""
TWO_PASS = math.sqrt(2.0) - 1.0
"""To the power of 1 / 2N: cut-off of two passes of order N over that of one [Winter2009]."""
_SECOND_ORDER = TWO_PASS**0.25
PADDING = 15
"""Samples that a filter of two second-order sections leans on at either end: a stretch has to be longer."""


def upper_edge_hz(rate_hz: float) -> float:
    """Return the upper edge of the band at a log's rate, Hz: 80 Hz, less where the log is too slow to hold it.

    Examples
    --------
    >>> upper_edge_hz(500.0), upper_edge_hz(100.0)
    (80.0, 40.0)
    """
    return min(HIGHEST_HZ, HELD_SHARE * rate_hz)


def _warped(edge_hz: float, rate_hz: float, factor: float) -> float:
    return rate_hz / math.pi * math.atan(math.tan(math.pi * edge_hz / rate_hz) * factor)


@lru_cache(maxsize=64)
def _below(rate_hz: float, edge_hz: float) -> Floats:
    return read_only(butter(2, _warped(edge_hz, rate_hz, 1 / _SECOND_ORDER), fs=rate_hz, output="sos"))


@lru_cache(maxsize=64)
def _above(rate_hz: float, edge_hz: float) -> Floats:
    return read_only(butter(2, _warped(edge_hz, rate_hz, _SECOND_ORDER), "highpass", fs=rate_hz, output="sos"))


def low_passed(signal: Floats, rate_hz: float, edge_hz: float) -> Floats:
    """Return what of a signal is slower than an edge, Hz; as `band_passed`."""
    filtered: Floats = sosfiltfilt(_below(rate_hz, edge_hz).copy(), signal, padlen=PADDING)
    return filtered


def high_passed(signal: Floats, rate_hz: float, edge_hz: float) -> Floats:
    """Return what of a signal is faster than an edge, Hz; as `band_passed`."""
    filtered: Floats = sosfiltfilt(_above(rate_hz, edge_hz).copy(), signal, padlen=PADDING)
    return filtered


def band_passed(signal: Floats, rate_hz: float) -> Floats:
    """Return a signal's part within 1 Hz and the upper edge, without delay.

    Parameters
    ----------
    signal : float array, shape (n,)
        One gap-free stretch, longer than `PADDING`.
    rate_hz : float

    Returns
    -------
    float array, shape (n,)
        In the signal's unit; -3 dB at the edges after both passes.

    Notes
    -----
    A second-order Butterworth high-pass and low-pass, forward and backward; cut-offs corrected for two passes.
    """
    sections = np.vstack([_above(rate_hz, LOWEST_HZ), _below(rate_hz, upper_edge_hz(rate_hz))])
    filtered: Floats = sosfiltfilt(sections, signal, padlen=PADDING)
    return filtered
