"""Where an end hardly moves: its speed, low-passed once more at 10 Hz, stays within 20 mm/s."""

from __future__ import annotations

import numpy as np

from telemetry.model.arrays import Bools, Floats

from .lowpass import SHORTEST, lowpass

SLOW_CUTOFF_HZ = 10.0
STILL_SPEED_MM_S = 20.0
THINNED_RATE_HZ = 250.0


def still_mask(speed_mm_s: Floats, rate_hz: float, cutoff_hz: float) -> Bools:
    """Tell which samples are still.

    Parameters
    ----------
    speed_mm_s : float array, shape (n,)
        One gap-free stretch of 16 samples or more, already low-passed at `cutoff_hz`.
    rate_hz, cutoff_hz : float

    Returns
    -------
    bool array, shape (n,)

    Notes
    -----
    The speed holds nothing near or above 125 Hz any more, so every k-th sample is filtered, at 250 Hz or
    more: the answer is that of the whole signal to within one kept sample (4 ms at most).
    """
    every = max(1, int(rate_hz / max(THINNED_RATE_HZ, 4 * cutoff_hz)))
    if speed_mm_s.shape[0] < SHORTEST * every:
        every = 1
    rate = rate_hz / every
    slow = lowpass(np.ascontiguousarray(speed_mm_s[::every]), rate, min(SLOW_CUTOFF_HZ, 0.4 * rate))
    still: Bools = np.repeat(np.abs(slow) <= STILL_SPEED_MM_S, every)
    return still[: speed_mm_s.shape[0]]
