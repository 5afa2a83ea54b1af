"""Ground speed: from a sensor, else from how long after the front the rear meets the same bump."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.signal import butter, sosfiltfilt

from telemetry.model.arrays import Bools, Floats, Ints
from telemetry.model.motion import LAG_WINDOW_S, Stretch
from telemetry.model.peaks import peak_shift

from .missing import Missing, Outcome

BAND_HZ = (6.0, 25.0)
SLOWEST_M_S = 1.5
FASTEST_M_S = 20.0
FASTEST_LONG_TRAVEL_M_S = 28.0
LONG_TRAVEL_MM = 230.0
LEAST_CORRELATION = 0.4
OVER_NEXT_PEAK = 1.3
FEWEST_WINDOWS = 5
LEAST_SHARE = 0.30
THINNED_RATE_HZ = 200.0
WINDOWS_AT_ONCE = 64
SLOWEST_RATE_HZ = 2.2 * BAND_HZ[1]
BEFORE_S, AFTER_S = 0.2, 1.0
"""Around a flight the ends take off and land in an order of their own: own choice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Lags:
    """How the rear repeats the front.

    Attributes
    ----------
    lag_s : float array
        Lags of the windows that tell one, s.
    windows : int
        All windows looked at.
    judged_windows : int
        Those of them without a flight, 0.2 s before it and 1 s after.
    reversed_windows : int
        Judged windows in which the front clearly repeats the rear instead.
    opposed_windows : int
        Judged windows in which one end clearly does the opposite of the other.
    judged_at, reversed_at : int array
        Samples at which judged, and reversed, windows begin.
    """

    lag_s: Floats
    windows: int
    judged_windows: int
    reversed_windows: int
    opposed_windows: int
    judged_at: Ints
    reversed_at: Ints


NO_LAGS = Lags(
    lag_s=np.empty(0),
    windows=0,
    judged_windows=0,
    reversed_windows=0,
    opposed_windows=0,
    judged_at=np.empty(0, dtype=np.int64),
    reversed_at=np.empty(0, dtype=np.int64),
)


def _clear_peaks(correlation: Floats) -> tuple[Floats, Floats]:
    """Return place (in lags, refined) and height of each window's highest peak, NaN where it isn't clear.

    Parameters
    ----------
    correlation : float array, shape (w, m)
        One window a row.
    """
    inner = correlation[:, 1:-1]
    is_peak = (inner > correlation[:, :-2]) & (inner >= correlation[:, 2:])
    heights = np.where(is_peak, inner, -np.inf)
    window = np.arange(heights.shape[0])
    best = heights.argmax(axis=1)
    top = heights[window, best].copy()
    heights[window, best] = -np.inf
    clear = (top >= LEAST_CORRELATION) & (top >= OVER_NEXT_PEAK * heights.max(axis=1))
    below, above = correlation[window, best], correlation[window, best + 2]
    place = best + 1 + peak_shift(below, np.where(clear, top, 0.0), above)
    return np.where(clear, place, np.nan), np.where(clear, top, np.nan)


def correlations(front: Floats, rear: Floats, lags: Ints) -> Floats:
    """Return the normalised correlation of ``front[t]`` with ``rear[t + lag]`` over their overlap.

    Parameters
    ----------
    front, rear : float arrays, shape (w, n)
        One window a row.
    lags : int array, shape (m,)
        Samples, -n < lag < n.

    Returns
    -------
    float array, shape (w, m)
        ``sum f r / sqrt(sum f^2 sum r^2)``, sums over the samples both have.
    """
    count = front.shape[1]
    size = 1 << (2 * count - 1).bit_length()
    cross = np.fft.irfft(np.conj(np.fft.rfft(front, size)) * np.fft.rfft(rear, size), size)[:, lags % size]
    zero = np.zeros((front.shape[0], 1))
    energy_front = np.hstack([zero, np.cumsum(front**2, axis=1)])
    energy_rear = np.hstack([zero, np.cumsum(rear**2, axis=1)])
    first_front, first_rear = np.maximum(0, -lags), np.maximum(0, lags)
    overlap = count - np.abs(lags)
    of_front = energy_front[:, first_front + overlap] - energy_front[:, first_front]
    of_rear = energy_rear[:, first_rear + overlap] - energy_rear[:, first_rear]
    power = np.sqrt(np.maximum(of_front * of_rear, 0.0))
    known = power > 1e-12 * power.max(initial=1e-300)
    normalised: Floats = np.divide(cross, power, out=np.zeros_like(cross), where=known)
    return normalised


def _windows(signal: Floats, starts: Ints, length: int) -> Floats:
    windows: Floats = signal[starts[:, None] + np.arange(length)]
    return windows


def _grounded(starts: Ints, length: int, flights: tuple[Stretch, ...], rate_hz: float) -> Bools:
    """Tell which windows [start, start + length) lie clear of every flight."""
    clear = np.ones(starts.shape[0], dtype=bool)
    for start, stop in flights:
        clear &= (starts + length <= start - BEFORE_S * rate_hz) | (starts >= stop + AFTER_S * rate_hz)
    return clear


def _window_lags(front: Floats, rear: Floats, lags: Ints) -> tuple[Floats, Bools, Bools]:
    """Return each window's place among the lags, NaN where none is clear; whether it tells reversed or opposed ends."""
    near = np.arange(1 - lags[0], lags[0])  # too short for any speed, yet ends that move alike aren't opposed
    both_ways = correlations(front, rear, np.concatenate([lags, -lags, near]))
    after, before = both_ways[:, : lags.size], both_ways[:, lags.size : 2 * lags.size]
    (place, height), (_, other) = _clear_peaks(after), _clear_peaks(before)
    against = np.fmax(_clear_peaks(-after)[1], _clear_peaks(-before)[1])
    return place, other > np.nan_to_num(height), against > OVER_NEXT_PEAK * both_ways.max(axis=1)


def find_lags(
    ends_mm_s: tuple[Floats, Floats],
    ridden: tuple[Stretch, ...],
    rate_hz: float,
    bounds_s: tuple[float, float],
    flights: tuple[Stretch, ...] = (),
) -> Lags:
    """Find how long after the front the rear moves alike, window by window.

    Parameters
    ----------
    ends_mm_s : (front, rear), float arrays, shape (n,)
        Wheel speeds; their scale doesn't matter.
    ridden : tuple of (start, stop)
        Riding time without a break.
    rate_hz : float
    bounds_s : (shortest, longest)
        Lags looked at, s.
    flights : tuple of (start, stop)
        Landings tell nothing of which end is which: many bikes land rear first.

    Returns
    -------
    Lags

    Notes
    -----
    Speeds band-passed 6-25 Hz; windows of 4 s, half overlap; the highest peak of the normalised correlation,
    refined by a parabola, must reach 0.4 and 1.3 x the next. Ends are opposed where that holds of the negative
    correlation, and its peak is 1.3 x the highest of the positive, lags too short for any speed included.
    """
    every = max(1, int(rate_hz / THINNED_RATE_HZ))
    rate = rate_hz / every
    length = round(LAG_WINDOW_S * rate)
    shortest, longest = max(1, int(bounds_s[0] * rate)), int(np.ceil(bounds_s[1] * rate))
    if rate < SLOWEST_RATE_HZ or longest + 2 >= length:
        return NO_LAGS
    lags = np.arange(shortest - 1, longest + 2)
    band = butter(4, BAND_HZ, btype="bandpass", fs=rate, output="sos")
    found: list[Floats] = []
    judged_at: list[Ints] = []
    reversed_at: list[Ints] = []
    windows = opposed = 0
    for start, stop in ridden:
        if (stop - start) // every < length:
            continue
        front, rear = (sosfiltfilt(band, speed[start:stop:every]) for speed in ends_mm_s)
        every_start = np.arange(0, front.shape[0] - length + 1, length // 2)
        windows += every_start.size
        for starts in np.split(every_start, range(WINDOWS_AT_ONCE, every_start.size, WINDOWS_AT_ONCE)):
            place, turned, against = _window_lags(_windows(front, starts, length), _windows(rear, starts, length), lags)
            begins = start + starts * every
            grounded = _grounded(begins, length * every, flights, rate_hz)
            judged_at.append(begins[grounded])
            reversed_at.append(begins[turned & grounded & ~against])
            opposed += int(np.count_nonzero(against & grounded))
            found.append((lags[0] + place[np.isfinite(place)]) / rate)
    if not found:
        return NO_LAGS
    judged, turned_round = np.concatenate(judged_at), np.concatenate(reversed_at)
    return Lags(
        lag_s=np.concatenate(found),
        windows=windows,
        judged_windows=judged.size,
        reversed_windows=turned_round.size,
        opposed_windows=opposed,
        judged_at=judged,
        reversed_at=turned_round,
    )


def lag_bounds_s(wheelbase_mm: float, longest_travel_mm: float) -> tuple[float, float]:
    """Return the lags that 1.5 to 20 m/s (28 m/s for travel over 230 mm) give, shortest and longest, s."""
    fastest = FASTEST_LONG_TRAVEL_M_S if longest_travel_mm > LONG_TRAVEL_MM else FASTEST_M_S
    return wheelbase_mm / 1000 / fastest, wheelbase_mm / 1000 / SLOWEST_M_S


def speed_from_lags(lags: Lags, wheelbase_mm: float) -> Outcome:
    """Return the median of wheelbase over lag, m/s; absent under 5 windows or 30 % of them."""
    clear = lags.lag_s.size
    if clear < FEWEST_WINDOWS or clear < LEAST_SHARE * lags.windows:
        return Missing(
            f"the rear repeats the front clearly in {clear} of {lags.windows} windows of 4 s; "
            f"at least {FEWEST_WINDOWS} and 30 % are needed"
        )
    return float(np.median(wheelbase_mm / 1000 / lags.lag_s))
