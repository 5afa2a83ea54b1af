"""What the hardest hits would do to things of every natural frequency: the shock response spectrum."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from scipy.signal import find_peaks, lfilter

from telemetry.model.arrays import Floats

from .shaking import OVER_RMS, root_mean_square
from .third_octaves import bands_between

HITS = 10
QUALITY = 10.0
"""Of the thing shaken: 5 % of critical damping, as is common practice for shock spectra."""
LOWEST_HZ, HIGHEST_HZ = 4.0, 100.0
"""From the slowest that a hit's window holds twice, to what anything asks for. Own choice."""
SAMPLES_A_SWING = 10.0
"""The largest response between samples is missed by at most 5 % from so many a swing on (ISO 18431-4, from memory)."""
BEFORE_S, AFTER_S = 0.25, 0.75
"""About a hit's peak; other hits lie outside. Own choice."""


def frequencies(rate_hz: float) -> tuple[int, ...]:
    """Return the numbers of the thirds of an octave that a log's rate allows."""
    highest = min(HIGHEST_HZ, rate_hz / SAMPLES_A_SWING)
    return bands_between(LOWEST_HZ, highest) if highest > LOWEST_HZ else ()


def hit_windows(shaken: Sequence[Floats], upward: Sequence[Floats], rate_hz: float) -> Floats:
    """Return what happened about the hardest hits of several stretches.

    Parameters
    ----------
    shaken, upward : sequence of float arrays
        The same gap-free stretches of upward acceleration, band-passed and as it was read, m/s2.
    rate_hz : float

    Returns
    -------
    float array, shape (k, n)
        Upward acceleration about the (up to ten) highest peaks, hardest first; k is 0 where nothing stands out.
    """
    before, after = round(BEFORE_S * rate_hz), round(AFTER_S * rate_hz)
    above = OVER_RMS * root_mean_square(shaken)
    found: list[tuple[float, Floats]] = []
    for band, whole in zip(shaken, upward, strict=True):
        size = np.abs(band)
        places, _ = find_peaks(size, height=above, distance=before + after)
        places = places[(places >= before) & (places + after <= size.size)]
        found += [(float(size[place]), whole[place - before : place + after]) for place in places]
    found.sort(key=lambda hit: -hit[0])
    return np.stack([window for _, window in found[:HITS]]) if found else np.empty((0, before + after))


def responses(frequency_hz: Floats, acceleration_m_s2: Floats, rate_hz: float, *, quality: float = QUALITY) -> Floats:
    """Return the largest absolute acceleration of a mass on spring and damper over a shaken foot, at each frequency.

    Parameters
    ----------
    frequency_hz : float array, shape (f,)
        Natural frequencies, undamped.
    acceleration_m_s2 : float array, shape (k, n)
        Of the foot, one row a shock; at rest before.
    rate_hz : float
    quality : float
        1 / (2 damping).

    Returns
    -------
    float array, shape (k, f)
        Larger of both directions (maximax), m/s2.

    Notes
    -----
    Ramp-invariant recursion, exact for acceleration that runs straight between samples [Smallwood1981]
    (ISO 18431-4).
    """
    found = np.empty((acceleration_m_s2.shape[0], frequency_hz.size))
    for place, (upper, lower) in enumerate(_recursion(float(at), rate_hz, quality) for at in frequency_hz):
        found[:, place] = np.abs(lfilter(upper, lower, acceleration_m_s2, axis=1)).max(axis=1)
    return found


def _recursion(natural_hz: float, rate_hz: float, quality: float) -> tuple[list[float], list[float]]:
    damping = 1 / (2 * quality)
    turn = 2 * math.pi * natural_hz / rate_hz
    swing = turn * math.sqrt(1 - damping**2)
    shrink = math.exp(-damping * turn)
    c, s = shrink * math.cos(swing), shrink * math.sin(swing) / swing
    return [1 - s, 2 * (s - c), shrink**2 - s], [1.0, -2 * c, shrink**2]
