"""Ground speed from the lag at which the rear repeats the front.

A normalised correlation is the same for the fork's speed along its axis and for its vertical part.
"""

from __future__ import annotations

import numpy as np
from scipy.signal import butter, sosfiltfilt

from tests.plain.plain_signal import Array, PlainSegment, PlainSpec
from tests.plain.plain_strokes import Mask, stretches_of


def normalised(front: Array, rear: Array, lag: int) -> float:
    """Return the correlation of the front with the rear `lag` samples later."""
    early, late = front[: len(front) - lag], rear[lag:]
    return float(np.sum(early * late) / np.sqrt(np.sum(early**2) * np.sum(late**2)))


def window_lag(front: Array, rear: Array, lags: range) -> float | None:
    """Return the lag in samples of a clear peak, linear in between by a parabola; else ``None``."""
    r = np.array([normalised(front, rear, lag) for lag in lags])
    peaks = [i for i in range(1, len(r) - 1) if r[i] >= r[i - 1] and r[i] > r[i + 1]]
    if not peaks:
        return None
    peaks.sort(key=lambda i: r[i], reverse=True)
    best = peaks[0]
    unclear = len(peaks) > 1 and r[best] < 1.3 * r[peaks[1]]
    if r[best] < 0.4 or unclear:
        return None
    left, middle, right = r[best - 1 : best + 2]
    return lags[0] + best + float(0.5 * (left - right) / (left - 2 * middle + right))


def band_passed(x: Array, rate_hz: float) -> Array:
    """Return `x` between 6 and 25 Hz, without a shift."""
    return sosfiltfilt(butter(2, (6.0, 25.0), "bandpass", fs=rate_hz, output="sos"), x)


def lag_speed_m_s(segments: list[PlainSegment], riding: list[Mask], spec: PlainSpec) -> float | None:
    """Return the median over windows of wheelbase over lag, or ``None`` where too few agree."""
    wheelbase = spec.wheelbase_mm
    if wheelbase is None or len(spec.ends) < 2 or segments[0].rate_hz < 60:
        return None
    fastest = 28.0 if max(end.full_mm for end in spec.ends.values()) > 230 else 20.0
    speeds, windows = [], 0
    for segment, mask in zip(segments, riding, strict=True):
        rate = segment.rate_hz
        size = round(4 * rate)
        lags = range(int(wheelbase / 1000 / fastest * rate), int(wheelbase / 1000 / 1.5 * rate) + 2)
        front = band_passed(segment.speed_mm_s["front"], rate)
        rear = band_passed(segment.speed_mm_s["rear"], rate)
        for a, b in stretches_of(mask):
            for start in range(a, b - size + 1, size // 2):
                windows += 1
                lag = window_lag(front[start : start + size], rear[start : start + size], lags)
                if lag is not None and 1.5 <= wheelbase / 1000 * rate / lag <= fastest:
                    speeds.append(wheelbase / 1000 * rate / lag)
    if len(speeds) < 5 or len(speeds) < 0.3 * windows:
        return None
    return float(np.median(speeds))
