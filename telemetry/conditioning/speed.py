"""Speed: the time derivative of an even signal; an end is still where it stays within 20 mm/s, low-passed once more."""

from __future__ import annotations

import numpy as np

from telemetry.model.arrays import Bools, Floats

from .smoothing import SHORTEST, lowpass

SLOW_CUTOFF_HZ = 10.0
STILL_SPEED_MM_S = 20.0
THINNED_RATE_HZ = 250.0


def derivative(signal: Floats, rate_hz: float) -> Floats:
    """Return the time derivative of an evenly sampled signal.

    Parameters
    ----------
    signal : float array, shape (n,)
        One gap-free stretch, n >= 5.
    rate_hz : float
        Sampling rate, Hz.

    Returns
    -------
    float array, shape (n,)
        Signal's unit per second.

    Raises
    ------
    ValueError
        If the stretch has fewer than 5 samples.

    Notes
    -----
    ``(x[i-2] - 8 x[i-1] + 8 x[i+1] - x[i+2]) * rate / 12``, exact for cubics [SavitzkyGolay1964]; second
    order at the two samples of each end.

    Examples
    --------
    >>> import numpy as np
    >>> derivative(np.arange(6.0) ** 2, 1.0)
    array([ 0.,  2.,  4.,  6.,  8., 10.])
    """
    count = signal.shape[0]
    if count < 5:
        raise ValueError(f"a derivative needs 5 samples, got {count}")
    speed = np.empty(count)
    inner = speed[2:-2]
    np.subtract(signal[3:-1], signal[1:-3], out=inner)
    inner *= 8.0
    inner += signal[:-4]
    inner -= signal[4:]
    inner *= rate_hz / 12.0
    half = rate_hz / 2.0
    speed[0] = (-3 * signal[0] + 4 * signal[1] - signal[2]) * half
    speed[1] = (signal[2] - signal[0]) * half
    speed[-2] = (signal[-1] - signal[-3]) * half
    speed[-1] = (3 * signal[-1] - 4 * signal[-2] + signal[-3]) * half
    return speed


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
