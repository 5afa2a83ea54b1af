"""Spikes: one to three samples that jump away and back faster than a wheel can move."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.stats import norm

from telemetry.model.arrays import Floats, Ints

WINDOW = 7
LONGEST = 3
SPEED_LIMIT_MM_S = 10_000.0  # at the wheel; common practice, no source
MAD_TO_SD = 1.0 / float(norm.ppf(0.75))  # 1.4826 [Hampel1974]
SD_LIMIT = 3.0
AT_ONCE = 1 << 16
"""Windows looked at together: of a log that is noise throughout they'd take more memory than all else."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Spikes:
    """Samples to replace, the window medians to replace them by, and the samples before each step over 10 m/s."""

    samples: Ints
    values: Floats
    fast: Ints


def _windows(signal: Floats, samples: Ints) -> Floats:
    first = np.clip(samples - WINDOW // 2, 0, signal.shape[0] - WINDOW)
    windows: Floats = signal[first[:, None] + np.arange(WINDOW)]
    return windows


def outliers(signal: Floats, samples: Ints) -> tuple[np.ndarray, Floats]:
    """Tell which of the samples lie further than 3 x 1.4826 MAD from their window's median.

    Parameters
    ----------
    signal : float array, shape (n,)
        n >= 7; at its ends the window of 7 is moved inwards.
    samples : int array, shape (k,)

    Returns
    -------
    bool array, shape (k,) and float array, shape (k,)
        Whether each is an outlier, and its window's median [Hampel1974].
    """
    is_out, medians = np.empty(samples.shape[0], dtype=bool), np.empty(samples.shape[0])
    for start in range(0, samples.shape[0], AT_ONCE):
        part = slice(start, start + AT_ONCE)
        windows = _windows(signal, samples[part])
        median = medians[part] = np.median(windows, axis=1)
        mad = np.median(np.abs(windows - median[:, None]), axis=1)
        is_out[part] = np.abs(signal[samples[part]] - median) > SD_LIMIT * MAD_TO_SD * mad
    return is_out, medians


def find_spikes(readings: Floats, wheel_mm: Floats, rate_hz: float) -> Spikes:
    """Find spikes in one gap-free stretch.

    Parameters
    ----------
    readings : float array, shape (n,)
        Sensor readings; outliers are judged here.
    wheel_mm : float array, shape (n,)
        The same samples as wheel travel, mm; steps are judged here.
    rate_hz : float

    Returns
    -------
    Spikes
        Empty where there is none or n < 7.

    Notes
    -----
    Up to 3 neighbouring samples are a spike when each is further than 3 x 1.4826 MAD from the median of
    the 7 samples around it, and the steps into and out of it have opposite signs and both exceed 10 m/s at
    the wheel.
    """
    step = np.diff(wheel_mm)
    fast = np.flatnonzero(np.abs(step) > SPEED_LIMIT_MM_S / rate_hz)
    if readings.shape[0] < WINDOW or fast.size < 2:
        return Spikes(samples=np.empty(0, dtype=np.int64), values=np.empty(0), fast=fast)
    chosen: list[int] = []
    values: list[float] = []
    taken = -1
    candidates = np.unique(np.concatenate([fast + k for k in range(1, LONGEST + 1)]))
    candidates = candidates[candidates < readings.shape[0]]
    is_out, median = outliers(readings, candidates)
    out = dict(zip(candidates[is_out].tolist(), median[is_out].tolist(), strict=True))
    fast_list = fast.tolist()
    for place, into in enumerate(fast_list):
        if into < taken:
            continue
        for away in fast_list[place + 1 : place + 1 + LONGEST]:
            length = away - into
            if length > LONGEST:
                break
            spike = range(into + 1, away + 1)
            if step[into] * step[away] < 0 and all(sample in out for sample in spike):
                chosen.extend(spike)
                values.extend(out[sample] for sample in spike)
                taken = away
                break
    return Spikes(samples=np.array(chosen, dtype=np.int64), values=np.array(values, dtype=float), fast=fast)
