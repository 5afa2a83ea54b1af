"""Lowest and highest of short blocks, to find stretches in which a signal hardly moves."""

from __future__ import annotations

import numpy as np

from telemetry.model.arrays import Floats


def block_range(signal: Floats, length: int) -> tuple[Floats, Floats]:
    """Return the lowest and highest of each whole block of `length` samples, shapes (n // length,)."""
    whole = signal[: signal.shape[0] // length * length].reshape(-1, length)
    return whole.min(axis=1), whole.max(axis=1)


def flat_stretches(lowest: Floats, highest: Floats, within: float, fewest: int) -> list[tuple[int, int]]:
    """Return stretches [start, stop) of `fewest` blocks or more that stay `within` a range throughout.

    Parameters
    ----------
    lowest, highest : float arrays, shape (b,)
    within : float
        Largest range, in the signal's unit.
    fewest : int
        Blocks.

    Examples
    --------
    >>> import numpy as np
    >>> flat_stretches(np.array([0.0, 1.0, 1.0, 5.0]), np.array([3.0, 1.1, 1.1, 9.0]), 0.2, 2)
    [(1, 3)]
    """
    found: list[tuple[int, int]] = []
    start: int | None = None
    stop = 0
    low = high = 0.0
    for place in np.flatnonzero(highest - lowest <= within).tolist():
        if start is not None and place == stop:
            low, high = min(low, float(lowest[place])), max(high, float(highest[place]))
            if high - low <= within:
                stop = place + 1
                continue
        if start is not None and stop - start >= fewest:
            found.append((start, stop))
        start, stop = place, place + 1
        low, high = float(lowest[place]), float(highest[place])
    if start is not None and stop - start >= fewest:
        found.append((start, stop))
    return found
