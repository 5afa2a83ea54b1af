"""Stretches in which a signal hardly moves, found by short blocks first and then sample by sample."""

from __future__ import annotations

import numpy as np
from scipy.ndimage import maximum_filter1d, minimum_filter1d

from telemetry.model.arrays import Floats
from telemetry.model.stretches import stretches

PARTS = 4
"""Blocks a window is cut into for the first look."""


def _spans(signal: Floats, length: int) -> Floats:
    """Return highest minus lowest of every window of `length` samples, shape (n - length + 1,)."""
    origin = -(length // 2)  # so that a window starts at its sample
    count = signal.shape[0] - length + 1
    highest = maximum_filter1d(signal, length, mode="nearest", origin=origin)[:count]
    lowest = minimum_filter1d(signal, length, mode="nearest", origin=origin)[:count]
    return np.asarray(highest - lowest, dtype=float)


def _regions(signal: Floats, length: int, within: float) -> list[tuple[int, int]]:
    """Return the ranges outside which no window of `length` samples can be quiet."""
    block = max(1, length // PARTS)
    whole = (length - block + 1) // block  # every window holds at least so many whole blocks
    starts = np.arange(0, signal.shape[0] - block + 1, block)
    if starts.shape[0] < whole:
        return [(0, signal.shape[0])]
    windows = np.lib.stride_tricks.sliding_window_view
    blocks = signal[: starts[-1] + block]
    highest, lowest = np.maximum.reduceat(blocks, starts), np.minimum.reduceat(blocks, starts)
    spans = windows(highest, whole).max(axis=1) - windows(lowest, whole).min(axis=1)
    found: list[tuple[int, int]] = []
    for first, stop in stretches(spans <= within):
        a, b = max(0, (first - 1) * block), min(signal.shape[0], (stop + whole) * block)
        if found and a <= found[-1][1]:
            a = found.pop()[0]
        found.append((a, b))
    return found


def quiet_stretches(signal: Floats, length: int, within: float) -> list[tuple[int, int]]:
    """Return the stretches [start, stop) in which every window of `length` samples stays `within` a range.

    Parameters
    ----------
    signal : float array, shape (n,)
    length : int
        Samples in the shortest stretch, 2 or more.
    within : float
        Largest range of a window, in the signal's unit.

    Examples
    --------
    >>> import numpy as np
    >>> quiet_stretches(np.array([0.0, 3.0, 1.0, 1.1, 1.0, 9.0, 2.0]), 3, 0.2)
    [(2, 5)]
    """
    found: list[tuple[int, int]] = []
    for first, stop in _regions(signal, length, within):
        if stop - first < length:
            continue
        starts = stretches(_spans(signal[first:stop], length) <= within)
        found.extend((first + a, first + b - 1 + length) for a, b in starts)
    return found
